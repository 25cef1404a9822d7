"""The physics of one run: speeds of the drives, content of the accumulator, length unwound; exact between corners.

The picture: speeds and content go their course (course.py) from corner to corner. The sequence
says *what* is done (run, stop, fill); the physics says *when* it is done: a ramp ends when its speed is reached, a level
switch makes when the content is there. Whoever runs the sequence asks `due_us` for those events and tells `take` what has changed.

The unwind at speed follows the line; its excess over the line brings the accumulator to its level (web/level_control.py). A ramp
takes a time from its device's range, drawn once a ramp; a ramp broken off goes on at such a rate from the speed that it has.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable
from copy import copy
from math import copysign

from seqcheck.simulate.accumulator_data import OVERSPEED_SPREAD_PPM
from seqcheck.simulate.course import EXCESS, Corner, Course, time_of
from seqcheck.simulate.decurling import Decurling
from seqcheck.simulate.drive_data import Motion, RampData
from seqcheck.simulate.level_passing import passes_us
from seqcheck.simulate.physical_data import PhysicalData
from seqcheck.simulate.segment import S_PER_US, US_PER_S
from seqcheck.simulate.view import View
from seqcheck.web.level_control import Stretch, approach

CLEARING = ("clear_filled", "release_filled")
NOTHING_M = 1e-7
"""Content closer to its level than this is at it: less than a rounded microsecond moves."""

Draw = Callable[[int, int], int]
"""Any time from the first to the second, both in microseconds; or any whole number."""


class Physics(Course):
    """The physics of one run, from a state at rest on. Mutable; owned by the run."""

    def __init__(self, data: PhysicalData, view: View, draw: Draw) -> None:
        """Begin at time 0 with drives as `view` says, and the content at the running level."""
        super().__init__(data)
        self.draw = draw
        self.arrival_s: float | None = None
        self.ramp_ends_us: dict[int, int] = {}
        self.clear_us: int | None = None
        self._draw_properties()
        self.view = view
        self._begin(view)

    def _draw_properties(self) -> None:
        """What is so for a whole run: how fast overspeed, decurlers and guides are, where the filled switch clears."""
        self.decurling.draw_rates(self.draw)
        self.guides.draw_rates(self.draw)
        store = self.data.accumulator
        if store is None:
            self.most_excess = self.drop_m = 0.0
            return
        # The draw is a slowness, so that the earliest times of everything go together.
        slowest, fastest = (US_PER_S * US_PER_S // part for part in OVERSPEED_SPREAD_PPM)
        self.most_excess = store.excess_m_per_s * US_PER_S / self.draw(fastest, slowest)
        part = self.draw(0, US_PER_S) / US_PER_S
        self.drop_m = store.least_drop_m + part * (store.highest_drop_m - store.least_drop_m)

    def restarted(self, draw: Draw) -> Physics:
        """The same, at rest, at a new time 0 and with properties of its own drawn. Only for a run that stands or runs steadily."""
        assert not self.corners, "a run goes on from where nothing changes"
        twin = copy(self)
        twin.draw, twin.now_s = draw, 0.0
        twin.speeds, twin.rates = list(self.speeds), list(self.rates)
        twin.corners, twin.ramp_ends_us, twin.segments = [], {}, []
        twin.decurling = self.decurling.restarted()
        twin.guides = self.guides.restarted()
        twin.arrival_s = None if self.arrival_s is None else 0.0
        twin._draw_properties()
        twin._mark()
        return twin

    # -- what others ask -------------------------------------------------------------------------------------

    def take(self, view: View, now_us: int) -> None:
        """Something has changed at `now_us`: the drives and the fill are as in `view` from now on."""
        before = self.view
        if view == before:
            return
        self.advance(now_us * S_PER_US)
        self.view = view
        self.clear_us = None
        for drive, (old, new) in enumerate(zip(before.places, view.places, strict=True)):
            if old != new:
                self._change(drive, now_us)
        if self.is_fed and (self.arrival_s is None or before.fill != view.fill or self._line_changed(before)):
            self._approach_level()
        self._mark()
        for number, (old, new) in enumerate(zip(before.decurlers, view.decurlers, strict=True)):
            if old != new:
                self._decurl(number, new, now_us)
        for number, (old, new) in enumerate(zip(before.guides, view.guides, strict=True)):
            if old != new:
                self._arrives(self.guides.change(number, new, now_us * S_PER_US), now_us)

    def _line_changed(self, before: View) -> bool:
        store = self.data.accumulator
        return store is not None and before.places[store.line] != self.view.places[store.line]

    def due_us(self, key: int) -> int | None:
        """When the physics brings the event `key` about; None: it does not as things stand."""
        ramp = self.ramp_ends_us.get(key)
        if ramp is not None:
            return ramp
        store = self.data.accumulator
        role = store.keys.get(key) if store is not None else None
        if role in CLEARING:
            return self._clears_us()
        if role is not None and self._passes_running(role):
            assert store is not None
            return passes_us(store, self.ahead(), store.running_m, -1.0 if role == "sink_below_running" else 1.0)
        if self.arrival_s is None or (role == "reach_filled") != self.view.fill:
            return None
        return round(self.arrival_s * US_PER_S)

    # -- drives ----------------------------------------------------------------------------------------------

    def _begin(self, view: View) -> None:
        """Drives as found: standing or at speed."""
        self.view = view
        for drive, data in enumerate(self.data.drives):
            if data.motions[view.places[drive]] in (Motion.SPEED, Motion.SLOW):
                self.speeds[drive] = self.data.speed_m_per_s
            self._change(drive, 0)
        if self.is_fed:
            self._approach_level()
        self._mark()
        for number, place in enumerate(view.decurlers):
            self._decurl(number, place, 0)
        for number, place in enumerate(view.guides):
            self._arrives(self.guides.change(number, place, 0.0), 0)

    def rolls_are(self, rolls_m: list[float]) -> None:
        """Web on each roll at the start, where they are not new."""
        self.decurling = Decurling(self.data.decurlers, self.data.rolls, tuple(rolls_m))
        self.decurling.draw_rates(self.draw)
        for number, place in enumerate(self.view.decurlers):
            self._decurl(number, place, round(self.now_s * US_PER_S))

    def _decurl(self, number: int, place: int, now_us: int) -> None:
        self._arrives(self.decurling.change(number, place, now_us * S_PER_US, self.speeds), now_us)

    def _arrives(self, found: tuple[int, float] | None, now_us: int) -> None:
        """Something will have come to where it goes: the event, and how long that takes."""
        if found is not None:
            key, length_s = found
            self.ramp_ends_us[key] = now_us + round(length_s * US_PER_S)

    def _is_unwind(self, drive: int) -> bool:
        return self.data.accumulator is not None and drive == self.data.accumulator.unwind

    def _change(self, drive: int, now_us: int) -> None:
        """The drive has come to another position."""
        self.corners = [corner for corner in self.corners if corner.drive != drive]
        if self._is_unwind(drive):
            self.corners = [corner for corner in self.corners if corner.drive != EXCESS]
            self.is_fed, self.arrival_s = False, None
        data = self.data.drives[drive]
        place = self.view.places[drive]
        match data.motions[place]:
            case Motion.STAND:
                self._set(drive, 0.0, 0.0)
            case Motion.SPEED:
                self._run_at_speed(drive)
            case Motion.SLOW | Motion.START if data.ramps[place] is not None:
                ramp = data.ramps[place]
                assert ramp is not None
                target = 0.0 if data.motions[place] is Motion.SLOW else self._target(drive)
                self._ramp(drive, ramp, target, now_us)
            case _:
                self._set(drive, self.speeds[drive], 0.0)

    def _run_at_speed(self, drive: int) -> None:
        store = self.data.accumulator
        if store is None or drive != store.unwind:
            self._set(drive, self.data.speed_m_per_s, 0.0)
            return
        self.is_fed = True
        self.excess, self.excess_rate = self.speeds[drive] - self.speeds[store.line], 0.0

    def _target(self, drive: int) -> float:
        """The speed to which a drive starts: the line's; an unwind whose line does not run goes just so fast that it fills."""
        store = self.data.accumulator
        if store is None or drive != store.unwind:
            return self.data.speed_m_per_s
        is_running = self._line_motion() not in (Motion.STAND, Motion.SLOW)
        return self.data.speed_m_per_s if is_running else self.most_excess

    def _line_motion(self) -> Motion:
        store = self.data.accumulator
        assert store is not None
        return self.data.drives[store.line].motions[self.view.places[store.line]]

    def _ramp(self, drive: int, ramp: RampData, target: float, now_us: int) -> None:
        latest_us = ramp.whole.latest_us
        assert latest_us is not None
        whole_us = self.draw(ramp.whole.earliest_us, latest_us)
        change = target - self.speeds[drive]
        share = abs(change) / self.data.speed_m_per_s if ramp.is_part else 1.0
        length_us = round(whole_us * share)
        self.ramp_ends_us[ramp.key] = now_us + length_us
        if length_us == 0:
            self._set(drive, target, 0.0)
            return
        self._set(drive, self.speeds[drive], change / (length_us * S_PER_US))
        insort(self.corners, Corner((now_us + length_us) * S_PER_US, drive, 0.0, target), key=time_of)

    # -- accumulator -----------------------------------------------------------------------------------------

    def _approach_level(self) -> None:
        """Bring the content to the level that is asked for."""
        store = self.data.accumulator
        assert store is not None
        self.corners = [corner for corner in self.corners if corner.drive != EXCESS]
        missing_m = (store.filled_m if self.view.fill else store.running_m) - self.content_m
        self.excess_rate, self.arrival_s = 0.0, self.now_s
        if abs(missing_m) > NOTHING_M or abs(self.excess) > NOTHING_M:
            for stretch in self._stretches(missing_m, store.rate_m_per_s2):
                self._plan_excess(self.arrival_s, stretch.acceleration_m_per_s2)
                self.arrival_s += stretch.duration_s
        self.corners.append(Corner(self.arrival_s, EXCESS, 0.0, 0.0))
        self.corners.sort(key=time_of)
        self.advance(self.now_s)
        self._follow()

    def _stretches(self, missing_m: float, rate_m_per_s2: float) -> tuple[Stretch, ...]:
        """How the excess changes. No unwind winds back: while the line does not run at speed, what is too much stays."""
        if missing_m < 0 and self._line_motion() is not Motion.SPEED:
            braking = Stretch(abs(self.excess) / rate_m_per_s2, -copysign(rate_m_per_s2, self.excess))
            return (braking,)
        return approach(
            missing_m=missing_m,
            excess_m_per_s=self.excess,
            most_m_per_s=self.most_excess,
            rate_m_per_s2=rate_m_per_s2,
        )

    def _plan_excess(self, time_s: float, rate: float) -> None:
        if time_s <= self.now_s:
            self.excess_rate = rate
        else:
            self.corners.append(Corner(time_s, EXCESS, rate, None))

    def _passes_running(self, role: str) -> bool:
        """Whether the event is that the content passes the running level on its way, not that it comes to rest there."""
        return role == "sink_below_running" or (role == "reach_running" and self.view.fill)

    def _clears_us(self) -> int | None:
        """When the content has sunk so far below the filled level that its switch clears."""
        if self.clear_us is None:
            store = self.data.accumulator
            assert store is not None
            clears_us = passes_us(store, self.ahead(), store.filled_m - self.drop_m, -1.0)
            self.clear_us = -1 if clears_us is None else clears_us
        return self.clear_us if self.clear_us >= 0 else None
