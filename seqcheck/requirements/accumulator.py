"""Accumulator: the stored web never falls below the reserve, or never rises above full.

Below reserve: the draw of every stop, from the level at which it truly began, over all runs and allowed faults (see
kernel/draw.py for the expression and its bounds). Above full: how long the fill at overspeed goes on once truly filled, against the
room between the filled level and the end of the stroke, less what a stop from overspeed still brings.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import DrawMonitor, Holds, Monitor, StopwatchMonitor
from seqcheck.language.expression import And, Expression
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Accumulator, Device, Line, Requirement, Sequence, Unwind
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.requirements.moment import name_at, negated
from seqcheck.requirements.requirement import RequirementKind
from seqcheck.web.stop_draw import overfill_of_stop_m

BELOW, ABOVE = "never below reserve", "never above full"

_NOISE_DECIMALS = 6
"""Decimals of a microsecond kept before rounding down: what floating point loses (1 - 0.9 is below 0.1) costs no whole one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AccumulatorSetting:
    """The accumulator device of a sequence with the numbers that go with it."""

    device: Device
    accumulator: Accumulator
    line: Line
    unwind: Unwind

    def content_m(self, ratio: float) -> float:
        """Stored web at a level, metres: strands times travel."""
        return self.accumulator.strands * self.accumulator.stroke_m * ratio

    def at_line_speed_us(self, content_m: float) -> int:
        """How long the line runs on this much web, rounded down to whole microseconds (the cautious side)."""
        time_us = content_m / self.line.speed_m_per_s * MICROSECONDS_PER_SECOND
        return int(round(time_us, _NOISE_DECIMALS))

    def budget_us(self, ratio: float) -> int:
        """Web between a level and the reserve, as time at line speed."""
        return self.at_line_speed_us(self.content_m(ratio) - self.content_m(self.accumulator.reserve_ratio))


def accumulator_setting(requirement: Requirement, sequence: Sequence) -> AccumulatorSetting:
    """The accumulator and its numbers.

    Raises SequenceFileError if the file has no accumulator device or lacks the sections line, unwind or accumulator.
    """
    device = next((part for part in sequence.devices if part.type_name == "accumulator"), None)
    data = sequence.machine
    if device is None or data.accumulator is None or data.line is None or data.unwind is None:
        raise SequenceFileError(
            [
                Problem(
                    place=requirement.place,
                    expected="a device of type accumulator and the sections line, unwind and accumulator",
                    found="not all of them in this file",
                )
            ]
        )
    return AccumulatorSetting(device=device, accumulator=data.accumulator, line=data.line, unwind=data.unwind)


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    setting = accumulator_setting(requirement, sequence)
    if requirement.value("accumulator", str) == ABOVE:
        return (_overfill(requirement, setting),)
    filled_us = setting.budget_us(setting.accumulator.filled_ratio)
    return (draw_monitor(requirement, setting, filled_us, setting.budget_us(setting.accumulator.running_ratio)),)


def draw_monitor(
    requirement: Requirement, setting: AccumulatorSetting, filled_us: int, running_us: int
) -> DrawMonitor:
    """What watches draws against the web that may be drawn from each level, given as time at line speed."""
    slowest_us = max(_latest(setting.unwind.start.latest_us), _latest(setting.line.stop))
    return DrawMonitor(
        requirement=requirement.id,
        unwind=str(setting.device.value("unwind", str)),
        line=str(setting.device.value("line", str)),
        accumulator=setting.device.name,
        budget_us=2 * filled_us,
        budget_running_us=2 * running_us,
        # Long enough that an age which overruns has surely spent the budget, whatever ramp has begun.
        length_us=2 * max(filled_us, running_us) + slowest_us + 1,
    )


def _latest(value: object) -> int:
    latest_us = getattr(value, "latest_us", value)
    return latest_us if isinstance(latest_us, int) else 0


def overfill_room_m(setting: AccumulatorSetting) -> float:
    """Web between the filled level and the end of the stroke, less what a stop from overspeed still brings.

    Source: `web/stop_draw.py`, triangle under the longest stop ramp.
    """
    room_m = setting.content_m(1.0) - setting.content_m(setting.accumulator.filled_ratio)
    speed_m_per_s = setting.line.speed_m_per_s
    return room_m - overfill_of_stop_m(
        line_speed_m_per_s=speed_m_per_s,
        unwind_speed_m_per_s=speed_m_per_s * (1 + setting.unwind.overspeed_ratio),
        stop_duration_s=_latest(setting.unwind.stop) / MICROSECONDS_PER_SECOND,
    )


def _overfill(requirement: Requirement, setting: AccumulatorSetting) -> StopwatchMonitor:
    device = setting.device.name
    excess = setting.unwind.overspeed_ratio
    room_us = int(setting.at_line_speed_us(max(0.0, overfill_room_m(setting))) / excess) if excess else 0
    rising: Expression = And(
        requirement.place,
        (
            name_at(requirement, f"{device}.is_filled"),
            name_at(requirement, str(setting.device.value("fill", str))),
            name_at(requirement, f"{setting.device.value('unwind', str)}.is_at_speed"),
        ),
    )
    return StopwatchMonitor(
        requirement=requirement.id,
        start=(Holds(rising),),
        end=(Holds(negated(rising)),),
        at_most_us=room_us,
        length_us=room_us + 1,
    )


ACCUMULATOR = RequirementKind(
    name="accumulator",
    meaning="the stored web stays between reserve and full",
    fields=(
        Field(
            name="accumulator",
            kind=FieldKind.WORD,
            choices=(BELOW, ABOVE),
            meaning="which end of the stroke must not be reached",
            required=True,
        ),
    ),
    monitors=_monitors,
    on_machine=True,
)
