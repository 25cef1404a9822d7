"""The accumulator budget of a sequence: what a splice draws, what is left, what that hangs on, and what machine would do.

At a rewind: what a cut-over takes up, and what room is left (budget_side.py).

Everything is proven: the worst draw over all runs and allowed failures, and every limit by proofs on both of its sides.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from seqcheck.check.budget_curve import Curve, diameter_curve, speed_curve
from seqcheck.check.budget_duration import durations_of
from seqcheck.check.budget_proof import Proof, Prover
from seqcheck.check.budget_search import (
    Boundary,
    Growth,
    growths,
    highest_line_speed,
    smallest_strands,
    smallest_stroke,
)
from seqcheck.check.budget_side import SIDES, UNWIND, Side, is_other_end, setting_of, side_of
from seqcheck.check.budget_worst import Examined, WorstDraw, examine
from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import UsageError, nearest_name
from seqcheck.explore.limits import StopReason
from seqcheck.kernel.draw_part import FROM_FULL
from seqcheck.language.sequence import Accumulator, Requirement, Sequence
from seqcheck.requirements.accumulator import AccumulatorSetting
from seqcheck.web.accumulator import refill_time_s

PARTS = ("limits", "durations", "curves", "others")
"""What a budget finds out besides the worst draws."""

WEB_KINDS = ("draw_limit", "refill", "roll_end", "tail")
"""Kinds of requirement on web that a budget judges beside the draw."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetOptions:
    """What to find out. `requirement`: the draw requirement, empty for the one with the least margin. `parts`: of `PARTS`.

    `keeps_rates`: at another line speed ramps keep their rates, not their times. `compensation`: share of the roll's inertia that
    motor or brake take over; None: as the file's tension requirement says, else nothing.
    """

    requirement: str = ""
    parts: tuple[str, ...] = PARTS
    keeps_rates: bool = False
    compensation: float | None = None
    check: CheckOptions = field(default_factory=CheckOptions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """Times to refill after the worst draw from the filled level, at overspeed, seconds; ramps to overspeed not counted.

    At a rewind: to bring down again what was taken up from the emptied level.

    Source: web/accumulator.py, `refill_time_s`.
    """

    to_running_s: float
    to_filled_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """The budget. `accumulator`: at a rewind the one it is in the mirror. `stopped`: why it is not complete, empty if it is.

    What was not found out is None or empty.
    """

    sequence: Sequence
    requirement: Requirement
    side: Side
    accumulator: Accumulator
    line_speed_m_per_s: float
    proof: Proof
    draws: tuple[WorstDraw, ...]
    refill: Refill | None = None
    highest_speed: Boundary | None = None
    smallest_stroke_m: Boundary | None = None
    smallest_strands: Boundary | None = None
    growths: tuple[Growth, ...] = ()
    curves: tuple[Curve, ...] = ()
    others: tuple[RequirementOutcome, ...] = ()
    proofs: int = 0
    stopped: str = ""


def budget_sequence(sequence: Sequence, options: BudgetOptions | None = None) -> Budget:
    """The budget of `sequence`. Ctrl-C ends it with what was found so far, once the worst draws are known.

    Raises UsageError if the file has no requirement `accumulator: never below reserve` or `take-up: never above filled`, or
    none with the id asked for, and SequenceFileError if it lacks data.
    """
    options = options or BudgetOptions()
    requirement, examined = _worst_examined(sequence, options)
    setting = setting_of(requirement, sequence)
    budget = Budget(
        sequence=sequence,
        requirement=requirement,
        side=side_of(requirement) or UNWIND,
        accumulator=setting.accumulator,
        line_speed_m_per_s=setting.line.speed_m_per_s,
        proof=examined.proof,
        draws=examined.draws,
        refill=_refill(setting, examined.proof),
        proofs=1,
    )
    prover = Prover(requirement.id, options.check)
    steps = _steps(prover, sequence, examined.proof, options, setting)
    try:
        for name, step in steps:
            prover.what = name
            budget = replace(step(budget), proofs=1 + prover.proofs)
    except KeyboardInterrupt:
        return replace(budget, stopped=StopReason.INTERRUPTED.value)
    return budget


Step = Callable[[Budget], Budget]


def _steps(
    prover: Prover, sequence: Sequence, base: Proof, options: BudgetOptions, setting: AccumulatorSetting
) -> tuple[tuple[str, Step], ...]:
    """What is found out one after the other, quickest first, so that Ctrl-C leaves as much as may be."""
    compensation = _compensation(sequence) if options.compensation is None else options.compensation
    rates = options.keeps_rates
    drive = str(setting.device.value("unwind", str))
    steps: list[tuple[str, str, Step]] = [
        ("others", "other requirements on web", lambda budget: replace(budget, others=_others(sequence, options))),
        (
            "limits",
            "highest line speed",
            lambda budget: replace(
                budget, highest_speed=highest_line_speed(prover, sequence, base, keeps_rates=rates)
            ),
        ),
        (
            "limits",
            "smallest stroke",
            lambda budget: replace(budget, smallest_stroke_m=smallest_stroke(prover, sequence, base)),
        ),
        (
            "limits",
            "smallest number of strands",
            lambda budget: replace(budget, smallest_strands=smallest_strands(prover, sequence, base)),
        ),
        (
            "curves",
            "margin over line speed",
            lambda budget: replace(
                budget, curves=(*budget.curves, speed_curve(prover, sequence, keeps_rates=rates))
            ),
        ),
        (
            "curves",
            "margin over roll diameter",
            lambda budget: replace(
                budget, curves=(*budget.curves, diameter_curve(prover, sequence, budget.side, drive, compensation))
            ),
        ),
        (
            "durations",
            "critical path",
            lambda budget: replace(budget, growths=growths(prover, sequence, base, durations_of(sequence))),
        ),
    ]
    return tuple((name, step) for part, name, step in steps if part in options.parts)


def _worst_examined(sequence: Sequence, options: BudgetOptions) -> tuple[Requirement, Examined]:
    """The draw requirement with the least margin, or the one asked for."""
    examined = [(part, examine(sequence, part.id, options.check)) for part in _wanted(sequence, options)]
    return min(examined, key=lambda pair: (not pair[1].proof.is_broken, _margin(pair[1].proof)))


def _margin(proof: Proof) -> float:
    return float("inf") if proof.margin_m is None else proof.margin_m


def _wanted(sequence: Sequence, options: BudgetOptions) -> tuple[Requirement, ...]:
    known = tuple(part for part in sequence.requirements if side_of(part) is not None)
    if not known:
        words = " or ".join(f"'{side.kind.replace('_', '-')}: {side.budgeted}'" for side in SIDES)
        raise UsageError(f"{sequence.file} has no requirement {words}, so there is no budget")
    wanted = tuple(part for part in known if options.requirement in ("", part.id))
    if not wanted:
        names = [part.id for part in known]
        nearest = nearest_name(options.requirement, names)
        raise UsageError(
            f"{sequence.file} has no requirement {options.requirement!r} with a budget"
            + (f"; did you mean {nearest}?" if nearest else f"; it has {', '.join(names)}")
        )
    return wanted


def _others(sequence: Sequence, options: BudgetOptions) -> tuple[RequirementOutcome, ...]:
    wanted = tuple(
        part.id
        for part in sequence.requirements
        if part.kind in WEB_KINDS or is_other_end(part)
    )
    if not wanted:
        return ()
    outcome = check_sequence(sequence, replace(options.check, only=wanted))
    if outcome.stopped:
        raise KeyboardInterrupt
    return outcome.requirements


def _compensation(sequence: Sequence) -> float:
    found = [part.value("compensation", float) for part in sequence.requirements if part.kind == "tension"]
    return next((value for value in found if value is not None), 0.0)


def _refill(setting: AccumulatorSetting, proof: Proof) -> Refill | None:
    """After the worst single chain from the filled level, until the running and until the filled level."""
    filled = next((level for level in proof.levels if level.level == FROM_FULL), None)
    if filled is None or not setting.unwind.overspeed_ratio:
        return None

    def seconds(deficit_m: float) -> float:
        return refill_time_s(
            deficit_m=max(0.0, deficit_m),
            line_speed_m_per_s=setting.line.speed_m_per_s,
            overspeed=setting.unwind.overspeed_ratio,
        )

    between_m = setting.content_m(setting.accumulator.filled_ratio - setting.accumulator.running_ratio)
    return Refill(to_running_s=seconds(filled.drawn_m - between_m), to_filled_s=seconds(filled.drawn_m))
