"""Duration: from one moment to another, at most and at least so long."""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Monitor, StopwatchMonitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import condition_in, moments_of, needed_condition
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, _sequence: Sequence) -> tuple[Monitor, ...]:
    most_us, least_us = requirement.value("at most", int), requirement.value("at least", int)
    if most_us is None and least_us is None:
        raise SequenceFileError(
            [Problem(place=requirement.place, expected="'at most' or 'at least'", found="neither")]
        )
    unless = condition_in(requirement, "unless")
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=moments_of(needed_condition(requirement, "between")),
            end=moments_of(needed_condition(requirement, "and")),
            cancel=moments_of(unless) if unless is not None else (),
            at_most_us=most_us,
            at_least_us=least_us or 0,
            length_us=1 + (most_us if most_us is not None else least_us or 0),
        ),
    )


DURATION = RequirementKind(
    name="duration",
    meaning="from one moment to another, at most and at least so long",
    fields=(
        Field(name="between", kind=FieldKind.CONDITION, meaning="where it starts", required=True),
        Field(name="and", kind=FieldKind.CONDITION, meaning="where it ends", required=True),
        Field(name="at most", kind=FieldKind.TIME, meaning="the longest time allowed"),
        Field(name="at least", kind=FieldKind.TIME, meaning="the shortest time allowed"),
        Field(name="unless", kind=FieldKind.CONDITION, meaning="what abandons the measurement"),
    ),
    monitors=_monitors,
    needs_given=True,
)
