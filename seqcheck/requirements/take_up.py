"""Take-up: while the rewind stands for a cut-over, the web that comes on never fills the accumulator too far.

The mirror of the accumulator behind an unwind: the room between the level at which the cut-over truly began and `filled` is used
up by v/2 ((t2 - t0) + (t3 - t1)), with the rewind leaving line speed at t0, standing at t1, restarting at t2 and back at t3, or
with a line that is brought down instead (see kernel/draw.py). Below reserve: how long the emptying at overspeed goes on once
truly emptied, against the web between the emptied level and the reserve, less what a stop from overspeed still takes.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Holds, Monitor, StopwatchMonitor
from seqcheck.language.expression import And
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.plant.take_up import mirrored_device, mirrored_store
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.requirements.accumulator import AccumulatorSetting, draw_monitor
from seqcheck.requirements.moment import name_at, negated
from seqcheck.requirements.requirement import RequirementKind
from seqcheck.web.stop_draw import overfill_of_stop_m

ABOVE, BELOW = "never above filled", "never below reserve"


def take_up_setting(requirement: Requirement, sequence: Sequence) -> AccumulatorSetting:
    """The take-up as the accumulator it is in the mirror: its levels are levels of room, its unwind is the rewind.

    Raises SequenceFileError if the file has no take_up device, or lacks the sections line, rewind or accumulator.
    """
    device = next((part for part in sequence.devices if part.type_name == "take_up"), None)
    data = sequence.machine
    store = data.accumulator
    if device is None or data.line is None or data.rewind is None or store is None or store.emptied_ratio is None:
        expected = "a device of type take_up and the sections line, rewind and accumulator with an emptied level"
        raise SequenceFileError(
            [Problem(place=requirement.place, expected=expected, found="not all of them in this file")]
        )
    return AccumulatorSetting(
        device=mirrored_device(device),
        accumulator=mirrored_store(store, store.emptied_ratio),
        line=data.line,
        unwind=data.rewind,
    )


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    setting = take_up_setting(requirement, sequence)
    if requirement.value("take-up", str) == BELOW:
        return (_overdraw(requirement, sequence, setting),)
    emptied_us = setting.budget_us(setting.accumulator.filled_ratio)
    running_us = setting.budget_us(setting.accumulator.running_ratio)
    return (replace(draw_monitor(requirement, setting, emptied_us, running_us), takes_up=True),)


def _overdraw(requirement: Requirement, sequence: Sequence, setting: AccumulatorSetting) -> StopwatchMonitor:
    """How long the rewind may go on at overspeed once truly at the emptied level."""
    device, rewind = setting.device, str(setting.device.value("unwind", str))
    excess = setting.unwind.overspeed_ratio
    left_us = setting.at_line_speed_us(max(0.0, _web_to_reserve_m(sequence, setting)))
    most_us = int(left_us / excess) if excess else 0
    sinking = And(
        requirement.place,
        (
            name_at(requirement, f"{device.name}.is_emptied"),
            name_at(requirement, str(device.value("fill", str))),
            name_at(requirement, f"{rewind}.is_at_speed"),
        ),
    )
    return StopwatchMonitor(
        requirement=requirement.id,
        start=(Holds(sinking),),
        end=(Holds(negated(sinking)),),
        at_most_us=most_us,
        length_us=most_us + 1,
    )


def _web_to_reserve_m(sequence: Sequence, setting: AccumulatorSetting) -> float:
    """Web between the emptied level and the reserve, less what the longest stop from overspeed still takes.

    Source: `web/stop_draw.py`, triangle under the stop ramp.
    """
    store = sequence.machine.accumulator
    assert store is not None and store.emptied_ratio is not None, "the setting has been asked for it"
    speed_m_per_s = setting.line.speed_m_per_s
    return setting.content_m(store.emptied_ratio - store.reserve_ratio) - overfill_of_stop_m(
        line_speed_m_per_s=speed_m_per_s,
        unwind_speed_m_per_s=speed_m_per_s * (1 + setting.unwind.overspeed_ratio),
        stop_duration_s=(setting.unwind.stop.latest_us or 0) / MICROSECONDS_PER_SECOND,
    )


TAKE_UP = RequirementKind(
    name="take_up",
    meaning="the web taken up at a rewind stays between reserve and filled",
    fields=(
        Field(
            name="take-up",
            kind=FieldKind.WORD,
            choices=(ABOVE, BELOW),
            meaning="which end of the stroke must not be reached",
            required=True,
        ),
    ),
    monitors=_monitors,
    on_machine=True,
)
