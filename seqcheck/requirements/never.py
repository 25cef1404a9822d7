"""Never: a condition that must not hold in any settled state."""

from __future__ import annotations

from seqcheck.kernel.observer import Monitor, StateMonitor
from seqcheck.language.expression import And
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import needed_condition
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, _sequence: Sequence) -> tuple[Monitor, ...]:
    condition = needed_condition(requirement, "never")
    parts = condition.operands if isinstance(condition, And) else ()
    return (StateMonitor(requirement=requirement.id, bad=condition, parts=parts),)


NEVER = RequirementKind(
    name="never",
    meaning="a condition that must not hold at any moment",
    fields=(
        Field(name="never", kind=FieldKind.CONDITION, meaning="what must never be so", required=True),
    ),
    monitors=_monitors,
)
