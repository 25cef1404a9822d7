"""The limits that the proof gives: how far a number may be moved before the web is no longer proven to last.

Every search ends with two proofs, one that holds and one that does not, a stated step apart. It begins where the worst draw of
the file says that the boundary should lie, so that few proofs are needed. Where the web lasts on both sides of a gap (a watchdog
that is passed, say) the boundary found is one of several.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

from seqcheck.check.budget_duration import Duration
from seqcheck.check.budget_edit import at_line_speed, with_strands, with_stroke
from seqcheck.check.budget_proof import Proof, Proven, Prover
from seqcheck.language.sequence import Sequence

SPEED_STEP = 0.001
"""Share of the line speed between the speed that holds and the one that does not."""

STROKE_STEP_M = 0.001
"""Metres between the stroke that does and the one that does not."""

GROWTH_STEP_US = 1_000
"""Microseconds between the growth of a duration that holds and the one that does not."""

SCAN_FACTOR = 10
"""Scan times are tried up to so many times as long: seconds between two reads are no controller, and no search ends soon."""

MOST_HALVINGS = 40
"""Proofs of one search; far above what its steps need."""

MOST_STRANDS = 1_000
"""Beyond, no accumulator is built; a search ends there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary:
    """The last value that is proven to hold and the first that is not; None where no such value was found."""

    holds_at: float | None
    fails_at: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """How much longer a duration may become.

    `most_us`: the longest growth proven to hold, to `GROWTH_STEP_US`, with one step more no longer proven; None if it holds at
    `tried_us`, a growth that would spend every margin if each of its microseconds drew web, and where the first step says that the
    margin would be spent. `slope_m_per_s`: metres of margin lost for each second, in the first step or on the way to `tried_us`,
    whichever is more. Above zero: the margin depends on the duration.
    """

    duration: Duration
    most_us: int | None
    tried_us: int
    slope_m_per_s: float


def holds(proof: Proven) -> bool:
    """Whether a variant is proven to hold; one that is no possible machine does not."""
    return isinstance(proof, Proof) and proof.holds


def highest_line_speed(prover: Prover, sequence: Sequence, base: Proof, *, keeps_rates: bool) -> Boundary:
    """The highest line speed that is proven, m/s."""
    line, scale = sequence.machine.line, base.scale
    assert line is not None, "a budget needs the line section"
    if scale is None:
        return Boundary(holds_at=None, fails_at=None)
    step = line.speed_m_per_s * SPEED_STEP

    def holds_at(number: int) -> bool:
        return holds(prover.prove(at_line_speed(sequence, number * step, keeps_rates=keeps_rates)))

    # With ramp times kept a draw grows with the speed, with rates kept nearly with its square.
    guess = int((sqrt(scale) if keeps_rates else scale) / SPEED_STEP)
    found = _last_that_holds(holds_at, guess=guess, most=int(20 / SPEED_STEP))
    return _scaled(found, step)


def smallest_stroke(prover: Prover, sequence: Sequence, base: Proof) -> Boundary:
    """The shortest carriage stroke that is proven to do, metres."""
    store, scale = sequence.machine.accumulator, base.scale
    assert store is not None, "a budget needs the accumulator section"
    if scale is None:
        return Boundary(holds_at=None, fails_at=None)
    guess = int(store.stroke_m / scale / STROKE_STEP_M) + 1
    most = max(int(20 * store.stroke_m / STROKE_STEP_M), guess)

    def holds_at(number: int) -> bool:
        return holds(prover.prove(with_stroke(sequence, number * STROKE_STEP_M)))

    return _scaled(_first_that_holds(holds_at, guess=guess, most=most), STROKE_STEP_M)


def smallest_strands(prover: Prover, sequence: Sequence, base: Proof) -> Boundary:
    """The smallest number of strands that is proven to do, at the file's stroke."""
    store, scale = sequence.machine.accumulator, base.scale
    assert store is not None, "a budget needs the accumulator section"
    if scale is None:
        return Boundary(holds_at=None, fails_at=None)

    def holds_at(number: int) -> bool:
        return holds(prover.prove(with_strands(sequence, number)))

    guess = min(int(store.strands / scale) + 1, MOST_STRANDS)
    return _scaled(_first_that_holds(holds_at, guess=guess, most=MOST_STRANDS), 1)


# -- durations -----------------------------------------------------------------------------------------------


def growths(prover: Prover, sequence: Sequence, base: Proof, durations: tuple[Duration, ...]) -> tuple[Growth, ...]:
    """How much longer each duration may become, alone."""
    tried_us = max((level.margin_us for level in base.levels), default=0) + GROWTH_STEP_US
    if not base.holds or tried_us <= GROWTH_STEP_US:
        return ()
    most = [_tried_us(part, sequence, tried_us) for part in durations]
    most = [_tried_us(part, sequence, tried_us) for part in durations]
    small = prover.prove_all(part.longer(sequence, GROWTH_STEP_US) for part in durations)
    large = prover.prove_all(part.longer(sequence, most_us) for part, most_us in zip(durations, most, strict=True))
    guesses = [min(_predicted_steps(base, near), most_us // GROWTH_STEP_US) for near, most_us in zip(small, most, strict=True)]
    around = zip(durations, guesses, strict=True)
    # A watchdog may cut a long growth short, so a growth that would spend the margin is proven as well as the longest one.
    spent = prover.prove_all(part.longer(sequence, (guess + 1) * GROWTH_STEP_US) for part, guess in around)
    found = []
    for number, duration in enumerate(durations):
        most_us = None
        if not holds(spent[number]):
            most_us = _most_growth_us(prover, sequence, base, duration, guesses[number], guesses[number] + 1)
        elif not holds(large[number]):
            most_us = _most_growth_us(prover, sequence, base, duration, guesses[number], most[number] // GROWTH_STEP_US + 1)
        slope = max(
            _slope_m_per_s(base, small[number], GROWTH_STEP_US), _slope_m_per_s(base, large[number], most[number])
        )
        growth = Growth(duration=duration, most_us=most_us, tried_us=most[number], slope_m_per_s=slope)
        found.append(growth)
    return tuple(found)


def _tried_us(duration: Duration, sequence: Sequence, tried_us: int) -> int:
    """The growth tried for one duration."""
    if not duration.name.startswith("scan."):
        return tried_us
    period_us = sequence.scan.period.latest_us or 0
    return min(tried_us, (SCAN_FACTOR - 1) * period_us)


def _slope_m_per_s(base: Proof, other: Proven, growth_us: int) -> float:
    """Margin lost at the level where most is lost, for each second of growth."""
    if not isinstance(other, Proof):
        return 0.0
    lost = [
        before.margin_m - after.margin_m
        for before in base.levels
        for after in other.levels
        if before.level == after.level
    ]
    return max(0.0, *lost) / (growth_us / 1_000_000)


def _most_growth_us(prover: Prover, sequence: Sequence, base: Proof, duration: Duration, guess: int, high: int) -> int:
    """The longest growth that holds below `high` steps, which do not: by halving, but first where the margin should be spent."""
    low, tests = 0, [guess]
    for _ in range(MOST_HALVINGS):
        if high - low <= 1:
            break
        number = next((test for test in tests if low < test < high), (low + high) // 2)
        proof = prover.prove(duration.longer(sequence, number * GROWTH_STEP_US))
        if isinstance(proof, Proof) and proof.holds:
            low, tests = number, _spent_at(base, proof, number)
        else:
            high = number
    return low * GROWTH_STEP_US


def _spent_at(base: Proof, proof: Proof, number: int) -> list[int]:
    """Growths to try after `number`, in steps: at each level that draws more than in the file, a microsecond more of a duration
    mostly draws one or two more (see kernel/draw.py). The last that should hold, and the first that should not.
    """
    found = []
    for before in base.levels:
        for after in proof.levels:
            if before.level == after.level and after.worst.drawn_us > before.worst.drawn_us:
                ends = [number + after.margin_us // (slope * GROWTH_STEP_US) for slope in (2, 1)]
                found += [step for end in ends for step in (end + 1, end)]
    return found


def _predicted_steps(base: Proof, near: Proven) -> int:
    """Steps of growth after which the first level is spent, if the first step tells the rest."""
    if not isinstance(near, Proof):
        return 0
    steps = [
        before.margin_us // (before.margin_us - after.margin_us)
        for before in base.levels
        for after in near.levels
        if before.level == after.level and before.margin_us > after.margin_us
    ]
    return min(steps, default=0)


# -- whole numbers -------------------------------------------------------------------------------------------

Ends = tuple[int | None, int | None]
"""The last number that holds and the first that does not."""


def _last_that_holds(holds_at: Callable[[int], bool], *, guess: int, most: int) -> Ends:
    """Of the numbers 0 to `most`, where small ones hold: first around `guess`, then by halving."""
    low, high = 0, most + 1
    reach = 1
    number = max(min(guess, most), 0)
    while low < number < high:
        if holds_at(number):
            low, number = number, number + reach
        else:
            high, number = number, number - reach
        reach *= 4
    for _ in range(MOST_HALVINGS):
        if high - low <= 1:
            break
        middle = (low + high) // 2
        low, high = (middle, high) if holds_at(middle) else (low, middle)
    return low or None, high if high <= most else None


def _first_that_holds(holds_at: Callable[[int], bool], *, guess: int, most: int) -> Ends:
    """Of the numbers 0 to `most`, where large ones hold; (holds, does not)."""
    last, first = _last_that_holds(lambda number: not holds_at(number), guess=guess, most=most)
    return first, last


def _scaled(ends: Ends, step: float) -> Boundary:
    holds_at, fails_at = ends
    return Boundary(
        holds_at=None if holds_at is None else holds_at * step, fails_at=None if fails_at is None else fails_at * step
    )
