"""Completion: from a step, one of some steps is always entered within a time."""

from __future__ import annotations

from seqcheck.kernel.observer import Monitor, StopwatchMonitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import needed_time_us, steps_named
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    within_us = needed_time_us(requirement, "within")
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=steps_named(requirement, sequence, "from"),
            end=steps_named(requirement, sequence, "reaches"),
            at_most_us=within_us,
            length_us=within_us + 1,
        ),
    )


COMPLETION = RequirementKind(
    name="completion",
    meaning="from a step, one of some steps is always entered within a time",
    fields=(
        Field(name="from", kind=FieldKind.NAME, meaning="the step at whose entry it starts", required=True),
        Field(name="reaches", kind=FieldKind.NAMES, meaning="the steps, one of which is entered", required=True),
        Field(name="within", kind=FieldKind.TIME, meaning="the longest time allowed", required=True),
    ),
    monitors=_monitors,
    needs_given=True,
)
