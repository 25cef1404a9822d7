"""Roll end: from the end-of-roll signal the web on the roll lasts until a step is entered."""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Holds, Monitor, StopwatchMonitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.requirements.moment import name_at, steps_named
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    roll = requirement.value("roll", str)
    device = next(
        (part for part in sequence.devices if part.type_name == "roll" and roll in (None, part.name)), None
    )
    remaining = device.value("remaining", TimeRange) if device is not None else None
    if device is None or remaining is None:
        raise SequenceFileError(
            [
                Problem(
                    place=requirement.place,
                    expected="a device of type roll with a remaining time",
                    found=f"none called {roll!r}" if roll else "none",
                )
            ]
        )
    lasts_us = remaining.earliest_us
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(name_at(requirement, f"{device.name}.is_low")),),
            end=steps_named(requirement, sequence, "roll lasts until"),
            # In the model the roll may run out at any moment; a run in which it has not by the stated time is judged.
            cancel=(Holds(name_at(requirement, f"{device.name}.is_empty")),),
            at_most_us=lasts_us,
            length_us=lasts_us + 1,
        ),
    )


ROLL_END = RequirementKind(
    name="roll_end",
    meaning="the expiring roll has web enough until the splice is made",
    fields=(
        Field(name="roll lasts until", kind=FieldKind.NAME, meaning="the step by which the new roll feeds", required=True),
        Field(name="roll", kind=FieldKind.NAME, meaning="the roll; default: the only one"),
    ),
    monitors=_monitors,
    needs_given=True,
    on_machine=True,
)
