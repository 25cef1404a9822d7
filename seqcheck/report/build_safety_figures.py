"""The safety calculations of a file: each safety function with its figures, from proven times and declared data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.check.outcome import Outcome
from seqcheck.language.safety_function import SafetyFunction
from seqcheck.quantities.time import format_time
from seqcheck.reader.safety_functions import PARTS
from seqcheck.report.build_cause_effect import CauseFindings
from seqcheck.report.figure_level import level_figures
from seqcheck.report.figure_stop import stop_category_figure
from seqcheck.report.interlock_matrix import InterlockMatrix, SubjectKind
from seqcheck.report.safety_figures import Figure, Judgement, SafetyFigures, SafetyFunctionFigures
from seqcheck.requirements.verdict import Verdict
from seqcheck.safety.guard_locking import locking_need
from seqcheck.safety.minimum_distance import (
    Distance,
    Edition,
    curtain_distance,
    guard_distance,
    two_hand_distance,
)
from seqcheck.safety.performance_level import SIMPLIFIED

NOTES = (
    f"Performance levels are {SIMPLIFIED}; data of parts are those that the file declares.",
    "Overall stopping times are worst values proven on the model, plus what the file adds; measure them on the machine.",
    "Clauses 'from memory' were not checked against the text of the standard.",
)
_US_PER_S = 1e6


def safety_figures_of(outcome: Outcome, matrix: InterlockMatrix, causes: CauseFindings) -> SafetyFigures:
    """All safety functions of the file."""
    functions = tuple(
        SafetyFunctionFigures(
            name=function.name,
            text=function.value("text", str) or "",
            device=function.value("device", str) or "",
            requirements=_requirements(function),
            figures=tuple(_figures(_Case(function, outcome, matrix, causes))),
        )
        for function in outcome.sequence.safety_functions
    )
    return SafetyFigures(functions, NOTES if functions else ())


@dataclass(frozen=True, slots=True)
class _Case:
    """One function with all that its figures rest on."""

    function: SafetyFunction
    outcome: Outcome
    matrix: InterlockMatrix
    causes: CauseFindings

    @property
    def kind(self) -> str:
        return self.function.value("kind", str) or ""

    @property
    def device(self) -> str:
        return self.function.value("device", str) or ""

    def length_mm(self, name: str) -> float | None:
        return self.function.value(name, float)

    def time_s(self, name: str) -> float:
        return (self.function.value(name, int) or 0) / _US_PER_S


def _requirements(function: SafetyFunction) -> tuple[str, ...]:
    names = function.value("stopping time", tuple) or ()
    return tuple(str(name) for name in names)


def _figures(case: _Case) -> Iterator[Figure]:
    stopping_us, figure = _stopping_time(case)
    if figure is not None:
        yield figure
    if stopping_us is not None:
        yield from _distance(case, stopping_us / _US_PER_S)
        yield from _locking(case, stopping_us / _US_PER_S)
    if case.kind == "guard locking":
        yield _unlocking(case)
    category = stop_category_figure(case.function, case.outcome.sequence, case.causes)
    if category is not None:
        yield category
    if any(case.function.entry(f"{part}.category") for part in PARTS):
        yield from level_figures(case.function)


def _stopping_time(case: _Case) -> tuple[int | None, Figure | None]:
    """The overall stopping time in microseconds, None where it was not proven."""
    wanted = _requirements(case.function)
    if not wanted:
        return None, None
    further_us = case.function.value("further time", int) or 0
    working, worst_us, missing = [], 0, ""
    for judged in case.outcome.requirements:
        if judged.requirement.id not in wanted:
            continue
        times = [round(measure.worst) for measure in judged.measures if measure.unit == "us"]
        if judged.verdict is not Verdict.HOLDS or not times:
            missing = f"{judged.requirement.id} is {judged.verdict.value}"
            continue
        worst_us = max(worst_us, *times)
        working.append(f"{judged.requirement.id}: {format_time(max(times))} at worst, under {judged.hypothesis}, "
                       f"given {judged.requirement.given.text}")
    judged_ids = {judged.requirement.id for judged in case.outcome.requirements}
    absent = [name for name in wanted if name not in judged_ids]
    missing = missing or (f"{absent[0]} was not checked" if absent else "")
    if further_us:
        working.append(f"and {format_time(further_us)} that the model does not have")
    figure = Figure(
        quantity="overall stopping time",
        value="" if missing else format_time(worst_us + further_us),
        asked="",
        judgement=Judgement.OPEN if missing else Judgement.STATED,
        working=(*working, missing) if missing else tuple(working),
        source="worst value over all runs of the model; definition ISO 13855:2010 3.1.2 (from memory)",
    )
    return (None if missing else worst_us + further_us), figure


def _distance(case: _Case, stopping_s: float) -> Iterator[Figure]:
    edition = Edition(case.function.value("edition", str) or Edition.OF_2010.value)
    found: Distance | None = None
    match case.kind:
        case "light curtain":
            found = curtain_distance(stopping_s, case.length_mm("resolution") or 0.0, edition)
        case "two-hand control":
            found = two_hand_distance(stopping_s, edition)
        case "guard":
            found = guard_distance(stopping_s, edition, case.time_s("opening"), case.length_mm("reach") or 0.0)
    if found is None:
        return
    built_mm = case.length_mm("distance")
    yield Figure(
        quantity="minimum distance",
        value=f"{found.distance_mm:.0f} mm",
        asked="" if built_mm is None else f"built at {built_mm:.0f} mm",
        judgement=_meets(None if built_mm is None else built_mm >= found.distance_mm),
        working=found.working,
        source=found.source,
        caveat=found.caveat,
    )


def _meets(answer: bool | None) -> Judgement:
    return Judgement.STATED if answer is None else Judgement.MEETS if answer else Judgement.FAILS


def _locking(case: _Case, stopping_s: float) -> Iterator[Figure]:
    """Whether a guard must be locked, and whether it is."""
    distance_mm = case.length_mm("distance")
    if case.kind not in ("guard", "guard locking") or distance_mm is None:
        return
    need = locking_need(stopping_s, distance_mm, case.time_s("opening"))
    device = case.outcome.sequence.device(case.device)
    is_locked = device is not None and any(device.entry(name) is not None for name in ("lock", "unlock"))
    yield Figure(
        quantity="guard locking",
        value="needed" if need.is_needed else "not needed",
        asked=f"{case.device} {'is' if is_locked else 'is not'} locked",
        judgement=_meets(is_locked or not need.is_needed),
        working=(
            f"stopping time {need.stopping_s:.4g} s against access time {need.access_s:.4g} s",
            f"access: {case.time_s('opening'):.4g} s to open + {distance_mm:.0f} mm at 1600 mm/s",
        ),
        source=need.source,
    )


def _unlocking(case: _Case) -> Figure:
    """Whether the guard was locked in every explored state in which something hazardous moved."""
    condition = f"{case.device}.is_locked"
    working, known = [], True
    broken = []
    for guarantee in case.matrix.guarantees:
        subject = next(part for part in case.matrix.subjects if part.name == guarantee.subject)
        if subject.kind is not SubjectKind.MOTION:
            continue
        with_fault = guarantee.states[1] > 0
        always = condition in (guarantee.with_one_fault if with_fault else guarantee.without_fault)
        words = "with any one failure" if with_fault else "without a failure"
        working.append(f"{subject.name}: {'always' if always else 'NOT always'} behind the locked guard, {words}")
        broken += [] if always else [subject.name]
    known = bool(working) and bool(case.matrix.explored)
    return Figure(
        quantity="unlocking only at standstill",
        value="" if not known else "no" if broken else "yes",
        asked="yes",
        judgement=Judgement.OPEN if not known else _meets(not broken),
        working=tuple(working),
        source="ISO 14119:2013 5.7.2 (from memory)",
        caveat="judged on the machine as modelled, excluded failures left out",
    )


