"""Refill: once the unwind is back at speed, the level that a splice needs is truly there again within a stated time.

Measured on true content, from the unwind at speed over a drawn accumulator to the level, in each spell in which the unwind
stays at speed. How far the content was drawn is not kept, so the time is by bound: as long as from the reserve.
"""

from __future__ import annotations

from seqcheck.kernel.observer import Holds, StopwatchMonitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.accumulator import accumulator_setting
from seqcheck.requirements.moment import both, name_at, negated
from seqcheck.requirements.requirement import RequirementKind

LEVELS = {"running": "is_running_level", "filled": "is_filled"}


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[StopwatchMonitor, ...]:
    setting = accumulator_setting(requirement, sequence)
    within_us = requirement.value("refill within", int)
    assert within_us is not None, "the reader asks for it"
    level = requirement.value("level", str) or "running"
    at_speed = name_at(requirement, f"{setting.device.value('unwind', str)}.is_at_speed")
    drawn = name_at(requirement, f"{setting.device.name}.is_drawn")
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(both(requirement, drawn, at_speed)),),
            end=(Holds(name_at(requirement, f"{setting.device.name}.{LEVELS[level]}")),),
            cancel=(Holds(negated(at_speed)),),
            at_most_us=within_us,
            length_us=within_us + 1,
        ),
    )


REFILL = RequirementKind(
    name="refill",
    meaning="after a draw the accumulator is back at its level in time for the next splice",
    fields=(
        Field(
            name="refill within",
            kind=FieldKind.TIME,
            meaning="from the unwind back at speed to the level truly there, the unwind staying at speed",
            required=True,
        ),
        Field(
            name="level",
            kind=FieldKind.WORD,
            choices=tuple(LEVELS),
            meaning="the level that must be back; default: running",
        ),
    ),
    monitors=_monitors,
    needs_given=True,
    on_machine=True,
)
