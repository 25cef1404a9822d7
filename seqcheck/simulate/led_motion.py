"""What drives and accumulator do in a run whose times are given: the run of a witness, or of a scenario.

The run says when a drive has started or stands, and when a level is there. The physics is led along: each ramp is as long, and each
level is approached as quickly, as the run has it, as far as the machine can. Where it cannot, the sequence's ranges allow the run
more than the machine does, and that is noted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import format_time
from seqcheck.simulate.accumulator_data import OVERSPEED_SPREAD_PPM, AccumulatorData
from seqcheck.simulate.drive_data import Motion
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import PhysicalData, physical_data
from seqcheck.simulate.physics import Physics
from seqcheck.simulate.roll_length import left_m
from seqcheck.simulate.segment import S_PER_US, US_PER_S
from seqcheck.simulate.view import View, view_of
from seqcheck.web.level_control import Stretch

HALVINGS = 60
"""Halvings of the overspeed's spread: to the last digit."""
NEAR = 0.01
"""Share of the accumulator's capacity by which content and level may differ before it is noted."""


@dataclass(frozen=True, slots=True)
class LedMotion:
    """The motion, and a sentence for every level that the run has where the machine has another content."""

    record: MotionRecord
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Level:
    """A level event of the run; `level_m` is the content that it stands for."""

    time_us: int
    text: str
    level_m: float


class _LedPhysics(Physics):
    """Physics that is told how long ramps are and when levels are there. `levels_us` are ahead of now, in order."""

    wanted_us: int | None = None
    levels_us: tuple[int, ...] = ()

    def ramp_us(self, least: int, most: int) -> int:
        """The time that the run has, inside the range of the device; else the middle."""
        if self.wanted_us is None:
            return (least + most) // 2
        return min(max(self.wanted_us, least), most)

    def is_off(self, level_m: float) -> bool:
        """Whether the content is not at a level that the run has now. While the line does not run, what is too much stays."""
        store = self.data.accumulator
        assert store is not None
        over_m = self.content_m - level_m
        stays = over_m > 0 and self._line_motion() is not Motion.SPEED
        return abs(over_m) > NEAR * store.capacity_m and not stays

    def _stretches(self, missing_m: float, rate_m_per_s2: float) -> tuple[Stretch, ...]:
        """With an overspeed in its spread that brings the level when the run has it; else with the one before."""
        store = self.data.accumulator
        assert store is not None
        wanted_s = next((time * S_PER_US for time in self.levels_us if time * S_PER_US > self.now_s), None)
        if wanted_s is None:
            return super()._stretches(missing_m, rate_m_per_s2)
        slowest, fastest = (store.excess_m_per_s * part / US_PER_S for part in OVERSPEED_SPREAD_PPM)
        for _ in range(HALVINGS):
            self.most_excess = (slowest + fastest) / 2
            found = super()._stretches(missing_m, rate_m_per_s2)
            is_late = self.now_s + sum(stretch.duration_s for stretch in found) > wanted_s
            slowest, fastest = (self.most_excess, fastest) if is_late else (slowest, self.most_excess)
        return super()._stretches(missing_m, rate_m_per_s2)


def led_motion(
    sequence: Sequence, network: Network, schedule: Schedule, end_us: int, diameters_m: tuple[float, ...] = ()
) -> LedMotion | None:
    """The motion of the machine in `schedule`, or None where the file does not give its numbers.

    `diameters_m`: of the rolls at the start (default: new).
    """
    data = physical_data(sequence, network)
    if data is None:
        return None
    sizes = diameters_m or tuple(roll.outside_m for roll in data.rolls)
    views, levels = _views(data, schedule), tuple(_levels(data, schedule))
    physics = _LedPhysics(data, views[0][1], _middle)
    physics.draw = physics.ramp_us
    physics.rolls_are([left_m(roll, size) for roll, size in zip(data.rolls, sizes, strict=True)])
    notes = tuple(_led(physics, views, levels))
    physics.advance(end_us * S_PER_US)
    record = MotionRecord(
        data=data,
        segments=tuple(physics.segments),
        end_s=end_us * S_PER_US,
        diameters_m=sizes,
        arcs=tuple(physics.decurling.arcs),
        guide_arcs=tuple(physics.guides.arcs),
    )
    return LedMotion(record, notes)


def _middle(least: int, most: int) -> int:
    return (least + most) // 2


def _led(physics: _LedPhysics, views: list[tuple[int, View]], levels: tuple[_Level, ...]) -> Iterator[str]:
    """Lead the physics through the run; what does not fit."""
    ahead = list(levels)
    for number, (time_us, view) in enumerate(views[1:], start=1):
        yield from _passed(physics, ahead, time_us)
        physics.wanted_us = _ramp_us(views, number)
        physics.levels_us = tuple(level.time_us for level in ahead)
        physics.take(view, time_us)
    yield from _passed(physics, ahead, None)


def _passed(physics: _LedPhysics, ahead: list[_Level], until_us: int | None) -> Iterator[str]:
    """Compare the levels up to a time (None: all) with the content then."""
    store = physics.data.accumulator
    while ahead and (until_us is None or ahead[0].time_us <= until_us):
        level = ahead.pop(0)
        assert store is not None, "only an accumulator has levels"
        physics.advance(max(level.time_us * S_PER_US, physics.now_s))
        if physics.is_off(level.level_m):
            found_m, wanted_m = store.web_m(physics.content_m), store.web_m(level.level_m)
            yield f"{level.text} at {format_time(level.time_us)}: {found_m:.3f} m are stored then, not {wanted_m:.3f} m"


def _views(data: PhysicalData, schedule: Schedule) -> list[tuple[int, View]]:
    found = [(0, view_of(data, schedule.start))]
    for happening in schedule.happenings:
        view = view_of(data, happening.edge.target)
        if view != found[-1][1]:
            found.append((happening.time_us, view))
    return found


def _levels(data: PhysicalData, schedule: Schedule) -> Iterator[_Level]:
    store = data.accumulator
    if store is None:
        return
    for happening in schedule.happenings:
        event = happening.edge.event
        level_m = _level_m(store, store.keys.get(event.key))
        if level_m is not None:
            yield _Level(happening.time_us, f"{event.subject} {event.action.replace('_', ' ')}", level_m)


def _level_m(store: AccumulatorData, role: str | None) -> float | None:
    levels = {"reach_filled": store.filled_m, "reach_running": store.running_m, "sink_below_running": store.running_m}
    return None if role is None else levels.get(role)


def _ramp_us(views: list[tuple[int, View]], number: int) -> int | None:
    """How long the drive that changes here stays as it then is; None where none does, or it stays for good."""
    time_us, view = views[number]
    before = views[number - 1][1].places
    changed = [drive for drive, place in enumerate(view.places) if place != before[drive]]
    if not changed:
        return None
    drive = changed[0]
    later = (at_us for at_us, other in views[number + 1 :] if other.places[drive] != view.places[drive])
    following_us = next(later, None)
    return None if following_us is None else following_us - time_us
