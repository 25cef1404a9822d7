"""Always: a condition that must hold in every settled state."""

from __future__ import annotations

from seqcheck.kernel.observer import Monitor, StateMonitor
from seqcheck.language.expression import Or
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import needed_condition, negated
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, _sequence: Sequence) -> tuple[Monitor, ...]:
    condition = needed_condition(requirement, "always")
    # In `NOT a OR b` the case `a` must occur, else nothing was tested.
    parts = (
        tuple(negated(part) for part in condition.operands[:-1]) if isinstance(condition, Or) else ()
    )
    return (StateMonitor(requirement=requirement.id, bad=negated(condition), parts=parts),)


ALWAYS = RequirementKind(
    name="always",
    meaning="a condition that must hold at every moment",
    fields=(
        Field(name="always", kind=FieldKind.CONDITION, meaning="what must always be so", required=True),
    ),
    monitors=_monitors,
)
