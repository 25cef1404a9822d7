"""The stop category of a safety function, as the explored states show it."""

from __future__ import annotations

from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.condition import names_of
from seqcheck.language.safety_function import SafetyFunction
from seqcheck.language.sequence import Sequence
from seqcheck.report.build_cause_effect import CauseFindings
from seqcheck.report.cause_effect import Reaction
from seqcheck.report.safety_figures import Figure, Judgement
from seqcheck.safety.stop_category import StopCategory, stop_category

SOURCE = "IEC 60204-1:2016 9.2.2, ISO 13850:2015 4.1.3 (from memory)"


def stop_category_figure(function: SafetyFunction, sequence: Sequence, findings: CauseFindings) -> Figure | None:
    """The greatest category of any hazardous motion that the device of `function` stops; None for what stops nothing."""
    device = function.value("device", str) or ""
    cause = next((part for part in findings.table.causes if _is_of(part.name, device)), None)
    if cause is None:
        return None
    found: list[tuple[str, StopCategory]] = []
    for motion, circuits in _motions(sequence):
        cell = findings.table.cell(cause.name, motion)
        if cell.reaction is not Reaction.NEVER_ON:
            found.append((motion, _category(cause.name, motion, circuits, findings)))
    if not found:
        return None
    asked = function.value("stop category", str)
    values = sorted({category.value for _, category in found})
    is_emergency = function.value("kind", str) == "emergency stop"
    meets = asked is None or values == [int(asked)]
    allowed = not is_emergency or all(category.may_be_emergency_stop for _, category in found)
    return Figure(
        quantity="stop category",
        value=", ".join(str(value) for value in values),
        asked="" if asked is None else asked,
        judgement=Judgement.FAILS if not meets or not allowed else Judgement.STATED if asked is None else Judgement.MEETS,
        working=tuple(f"{motion}: category {category.value}, {_WORDS[category]}" for motion, category in found),
        source=SOURCE,
        caveat="an emergency stop is of category 0 or 1" if not allowed else "",
    )


_WORDS = {
    StopCategory.CATEGORY_0: "its energy goes while it may still move",
    StopCategory.CATEGORY_1: "its energy stays until it stands, then goes",
    StopCategory.CATEGORY_2: "its energy stays, or it has none of a safety circuit",
}


def _is_of(cause: str, device: str) -> bool:
    return cause.removeprefix("NOT ").split(".")[0] == device and not cause.startswith("NOT ")


def _motions(sequence: Sequence) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Hazardous motions with the circuits whose energy they need."""
    circuits = {f"{circuit.name}.is_on" for circuit in sequence.circuits}
    found = []
    for behaviour in behaviours_of(sequence):
        device = sequence.device(behaviour.device)
        if device is not None and device.hazard and "is_moving" in behaviour.facts:
            names = {name for drive in behaviour.drives for name in names_of(drive.condition)}
            found.append((f"{behaviour.device}.is_moving", tuple(sorted(names & circuits))))
    return tuple(found)


def _category(cause: str, motion: str, circuits: tuple[str, ...], findings: CauseFindings) -> StopCategory:
    removed = [name for name in circuits if findings.table.cell(cause, name).reaction is Reaction.STOPS]
    moves = any((cause, motion, name) in findings.powerless_motion for name in removed)
    return stop_category(power_is_removed=bool(removed), moves_without_power=moves)
