"""Detection: each failure raises an alarm within a time of the first instant in which a signal or a motion differs.

A failure that never makes a difference is listed as latent: nobody could notice it in any run.
"""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError, nearest_name
from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.observer import Fails, Holds, Monitor, StopwatchMonitor
from seqcheck.language.expression import Expression, Or
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import name_at, needed_time_us
from seqcheck.requirements.requirement import RequirementKind

EVERY = "all"


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    within_us = needed_time_us(requirement, "within")
    alarm = _any_alarm(requirement, sequence)
    return tuple(
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Fails(failure),),
            end=(Holds(alarm),),
            at_most_us=within_us,
            length_us=within_us + 1,
        )
        for failure in _failures(requirement, sequence)
    )


def _any_alarm(requirement: Requirement, sequence: Sequence) -> Expression:
    names = requirement.value("alarm", tuple) or tuple(alarm.name for alarm in sequence.alarms)
    alarms = tuple(name_at(requirement, str(name)) for name in names)
    return alarms[0] if len(alarms) == 1 else Or(requirement.place, alarms)


def _failures(requirement: Requirement, sequence: Sequence) -> tuple[str, ...]:
    known = [
        f"{behaviour.device}.{failure.name}"
        for behaviour in behaviours_of(sequence)
        for failure in behaviour.failures
    ]
    entry = requirement.entry("detects")
    assert entry is not None, "the reader asks for failures"
    wanted = (entry.value,) if isinstance(entry.value, str) else entry.value
    assert isinstance(wanted, tuple)
    if wanted == (EVERY,):
        return tuple(known)
    for name in wanted:
        if name not in known:
            raise SequenceFileError(
                [
                    Problem(
                        place=entry.place,
                        expected="'all' or failure modes as 'device.failure'",
                        found=repr(name),
                        nearest=nearest_name(str(name), known),
                    )
                ]
            )
    return tuple(str(name) for name in wanted)


DETECTION = RequirementKind(
    name="detection",
    meaning="each failure raises an alarm within a time",
    fields=(
        Field(name="detects", kind=FieldKind.NAMES, meaning="failure modes, or 'all'", required=True),
        Field(name="within", kind=FieldKind.TIME, meaning="the longest time allowed", required=True),
        Field(name="alarm", kind=FieldKind.NAMES, meaning="alarms that count; default: any"),
    ),
    monitors=_monitors,
    timed_from_fault=True,
    on_machine=True,
)
