"""Reaction: when one thing comes to hold, another does within a time, unless a third has come first."""

from __future__ import annotations

from seqcheck.kernel.observer import Holds, Monitor, StopwatchMonitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import both, condition_in, needed_condition, needed_time_us, negated
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, _sequence: Sequence) -> tuple[Monitor, ...]:
    asked, answer = needed_condition(requirement, "when"), needed_condition(requirement, "then")
    until = condition_in(requirement, "until")
    within_us = needed_time_us(requirement, "within")
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(both(requirement, asked, negated(answer))),),
            end=(Holds(answer),),
            cancel=(Holds(until),) if until is not None else (),
            at_most_us=within_us,
            length_us=within_us + 1,
        ),
    )


REACTION = RequirementKind(
    name="reaction",
    meaning="when one condition comes to hold, another does within a time",
    fields=(
        Field(name="when", kind=FieldKind.CONDITION, meaning="what asks for the reaction", required=True),
        Field(name="then", kind=FieldKind.CONDITION, meaning="the reaction", required=True),
        Field(name="within", kind=FieldKind.TIME, meaning="the longest time allowed", required=True),
        Field(name="until", kind=FieldKind.CONDITION, meaning="what ends the need for it"),
    ),
    monitors=_monitors,
)
