"""Whether a worst value is attained: a schedule of its path is made that has it, run in the concrete simulator, and measured.

A motion that is reversed or resumed has a range widened to [0, latest] (see bound.py). The value is exact all the same where it
does not rest on that motion: where schedules of the path attain it with every such motion as short as the order of events on the
path allows and as long as it can take, in every combination. Times of a path form a convex set, so whatever lies between
those attains it too. A motion that must take its longest, say, to attain the value carries it, and the value is by bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from seqcheck.check.bound import Widened, widened_motions
from seqcheck.check.draw import draw_constraints
from seqcheck.check.outcome import Witness
from seqcheck.check.witness import witness_of
from seqcheck.explore.layers import Path
from seqcheck.explore.witness import Constraint, greatest_us, schedule_of
from seqcheck.kernel.network import Network
from seqcheck.simulate.measures import Noticed
from seqcheck.simulate.replay import Replay

TOLERANCE_US = 2
"""A replay attains a value if it comes this near: times are whole microseconds, and a draw is the sum of two."""

MOST_WIDENED = 4
"""Widened motions on a path whose combinations are tried (2 to the power of this); with more, the value is by bound."""

MOST_CHOICES = 5
"""Ways tried to attain the claimed value; where periodic scans do not fit, each takes hundreds of tries."""

PERIODS_DOWN = (1, 2, 4)
"""Longest scan periods below the claimed value at which a run is looked for where none has it: an on-demand read may be
up to a period sooner or later than a periodic one, in each of the two durations of a draw."""

Choices = tuple[tuple[Constraint, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Attained:
    """A run that comes near to a worst value. `value_us`, `moments_us`: measured in its replay.

    `is_exact`: it attains the value, and does so with every widened motion at either end of its range.
    """

    value_us: int
    moments_us: tuple[int, ...]
    witness: Witness
    is_exact: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A worst value to attain: monitor `number` says it at the end of `path`. `kind` is that of its mark."""

    networks: tuple[Network, Network]
    path: Path
    number: int
    kind: str
    value_us: int

    def asking(self, value_us: int) -> Choices:
        """Constraints that ask for a value; the first choice that can be met will do."""
        explored = self.networks[0]
        if self.kind == "drawn":
            return draw_constraints(explored, self.number, self.path, value_us)
        return ((Constraint(len(self.path.edges), started_at(self.path, self.number), -value_us),),)


def attain(claim: Claim) -> Attained | None:
    """A run with the claimed value, or with one a few scan periods below it; None if no replay has any."""
    exactly = _run(claim, claim.value_us, MOST_CHOICES)
    if exactly is not None:
        noticed, witness, choice = exactly
        assert noticed.value_us is not None
        is_exact = noticed.value_us >= claim.value_us - TOLERANCE_US and not _rests_on_widened(claim, choice)
        return Attained(
            value_us=noticed.value_us, moments_us=noticed.moments_us, witness=witness, is_exact=is_exact
        )
    return _below(claim)


def _below(claim: Claim) -> Attained | None:
    """A run a little below the claimed value."""
    for periods in PERIODS_DOWN:
        value_us = claim.value_us - periods * claim.networks[0].longest_period_us
        found = _run(claim, value_us, 1) if value_us > 0 else None
        if found is not None:
            noticed, witness, _ = found
            assert noticed.value_us is not None
            return Attained(
                value_us=noticed.value_us, moments_us=noticed.moments_us, witness=witness, is_exact=False
            )
    return None


def _run(claim: Claim, value_us: int, choices: int) -> tuple[Noticed, Witness, tuple[Constraint, ...]] | None:
    """A confirmed replay with at least `value_us` at its end, and the constraints that it was made with."""
    explored, replayed = claim.networks
    for choice in claim.asking(value_us)[:choices]:
        witness, replay = witness_of(explored, replayed, claim.path, (choice,))
        noticed = _measured(claim, replay)
        if noticed is not None and (noticed.value_us or 0) >= value_us - TOLERANCE_US:
            return noticed, witness, choice
    return None


def _measured(claim: Claim, replay: Replay | None) -> Noticed | None:
    """What the monitor measured last in a confirmed replay."""
    if replay is None or not replay.confirmed:
        return None
    measured = [item for item in replay.run.noticed if (item.monitor, item.kind) == (claim.number, claim.kind)]
    return measured[-1] if measured else None


def _rests_on_widened(claim: Claim, choice: tuple[Constraint, ...]) -> bool:
    """Whether some combination of ends of the widened ranges keeps the path from attaining the value."""
    explored = claim.networks[0]
    return rests_on(explored, claim.path, widened_motions(explored, claim.path), (choice, *claim.asking(claim.value_us)))


def rests_on(network: Network, path: Path, widened: tuple[Widened, ...], choices: Choices) -> bool:
    """Whether some combination of ends of the ranges of `widened` leaves no schedule of the path with any of `choices`."""
    if len(widened) > MOST_WIDENED or any(motion.latest_us is None for motion in widened):
        return True
    for ends in product((False, True), repeat=len(widened)):
        pinned = tuple(_pinned(network, path, motion, latest) for motion, latest in zip(widened, ends, strict=True))
        if pinned and not any(schedule_of(network, path, (*asked, *pinned)) for asked in choices):
            return True
    return False


def _pinned(network: Network, path: Path, motion: Widened, latest: bool) -> Constraint:
    """The motion takes no longer than the order of events on the path makes it, or no less than its latest time."""
    if latest:
        return Constraint(motion.end, motion.begin, -(motion.latest_us or 0))
    backward_us = greatest_us(network, path, motion.end, motion.begin)
    shortest_us = 0 if backward_us is None else -backward_us
    return Constraint(motion.begin, motion.end, max(motion.earliest_us, shortest_us))


def started_at(path: Path, number: int) -> int:
    """The moment at which the measurement that ends with the path began."""
    starts = [
        moment
        for moment, edge in enumerate(path.edges[:-1], start=1)
        if any(mark.monitor == number and mark.kind == "started" for mark in edge.marks)
    ]
    return starts[-1] if starts else 0
