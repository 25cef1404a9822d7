"""A review as JSON: every table as its dataclass has it, and the verdicts; schedules of witnesses are left to the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

from seqcheck.check.outcome import Outcome
from seqcheck.report.review import Review

FORMAT = "seqcheck review 1"
Plain = dict[str, object] | list[object] | str | int | float | bool | None


def review_json(review: Review) -> dict[str, object]:
    """The facts of a review, ready for `json.dumps`. Times are whole microseconds (`..._us`)."""
    return {
        "format": FORMAT,
        "head": plain(review.head),
        "requirements": _requirements(review.outcome),
        "interlock_matrix": plain(review.matrix),
        "fault_table": plain(review.faults),
        "troubleshooting": plain(review.troubleshooting),
        "cause_and_effect": plain(review.cause_effect),
        "safety_calculations": plain(review.safety),
    }


def _requirements(outcome: Outcome) -> list[object]:
    return [
        {
            "id": judged.requirement.id,
            "text": judged.requirement.text,
            "kind": judged.requirement.kind,
            "severity": judged.requirement.severity,
            "clause": judged.requirement.clause,
            "under": judged.hypothesis,
            "given": judged.requirement.given.text,
            "judged_on": judged.judged_on,
            "verdict": judged.verdict.value,
            "reason": judged.reason,
            "measures": plain(judged.measures),
            "witness": None if judged.witness is None else plain(judged.witness.lines),
        }
        for judged in outcome.requirements
    ]


def plain(value: object) -> Plain:
    """Dataclasses as maps by field, tuples as lists, enumerations as their value.

    Raises TypeError for anything else that JSON does not have.
    """
    if isinstance(value, Enum):
        return plain(value.value)
    if value is None or isinstance(value, str | int | float | bool):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    raise TypeError(f"{type(value).__name__} has no form in JSON")
