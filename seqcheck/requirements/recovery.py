"""Recovery: from every reachable state the stated acts of the operator bring the machine back within a time.

A procedure, judged over all runs: at any moment, in any state that the hypothesis allows, the operator begins. Every failure there
(or, where acts say `repair`, of those devices) has just been repaired; he then does the acts in order, each within its human
time, and nothing else happens or fails. It is met when all acts are done and the chart is in one of the stated steps.
"""

from __future__ import annotations

from seqcheck.kernel.observer import Enters, Holds, Monitor, StopwatchMonitor
from seqcheck.language.expression import And, Constant, Expression, Or
from seqcheck.language.field import Act, Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.plant.procedure import BEGUN, DONE, fact_name
from seqcheck.requirements.moment import name_at, needed_time_us, steps_named
from seqcheck.requirements.requirement import RequirementKind

ANYWHERE = "all"


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    within_us = needed_time_us(requirement, "within")
    back = _any_step(requirement, steps_named(requirement, sequence, "reaches"))
    done = And(requirement.place, (name_at(requirement, fact_name(DONE)), back))
    begins_when(requirement, sequence)
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(name_at(requirement, fact_name(BEGUN))),),
            end=(Holds(done),),
            at_most_us=within_us,
            length_us=within_us + 1,
        ),
    )


def acts_of(requirement: Requirement) -> tuple[Act, ...]:
    """The acts of a recovery requirement, in order; none for another kind."""
    value = requirement.value("acts", tuple)
    return tuple(act for act in value or () if isinstance(act, Act))


def begins_when(requirement: Requirement, sequence: Sequence) -> Expression:
    """Where the procedure may begin."""
    entry = requirement.entry("recovery")
    assert entry is not None, "the reader asks for the steps"
    if entry.value in (ANYWHERE, (ANYWHERE,)):
        return Constant(requirement.place, True)
    return _any_step(requirement, steps_named(requirement, sequence, "recovery"))


def _any_step(requirement: Requirement, steps: tuple[Enters, ...]) -> Expression:
    flags = tuple(name_at(requirement, f"{step.chart}.{step.step}.X") for step in steps)
    return flags[0] if len(flags) == 1 else Or(requirement.place, flags)


RECOVERY = RequirementKind(
    name="recovery",
    meaning="the stated acts of the operator bring the machine back within a time",
    fields=(
        Field(name="recovery", kind=FieldKind.NAMES, meaning="the steps it may begin in, or 'all'", required=True),
        Field(name="acts", kind=FieldKind.ACTS, meaning="what the operator does, in order, each within a time", required=True),
        Field(name="reaches", kind=FieldKind.NAMES, meaning="the steps, one of which must be reached", required=True),
        Field(name="within", kind=FieldKind.TIME, meaning="the longest time allowed", required=True),
    ),
    monitors=_monitors,
)
