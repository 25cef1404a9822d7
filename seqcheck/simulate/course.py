"""The course of a machine through time: speeds that are straight between corners, the content that follows from them.

Nothing is decided here: corners are planned by the physics (physics.py), and until the next one everything goes on as it does.
The unwind at speed follows the line, with an excess of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy
from typing import NamedTuple

from seqcheck.simulate.decurling import Decurling
from seqcheck.simulate.guides import Guides
from seqcheck.simulate.physical_data import PhysicalData
from seqcheck.simulate.segment import Segment

EXCESS = -1
"""Stands for the unwind's excess over the line where a drive's number stands otherwise."""


class Corner(NamedTuple):
    """A planned change: from `time_s` on this acceleration and, where given, exactly this speed (or excess)."""

    time_s: float
    drive: int
    acceleration: float
    speed: float | None


def time_of(corner: Corner) -> float:
    """When it comes; corners are kept in this order."""
    return corner.time_s


class Course:
    """Where drives, content, decurlers and guides are now, the corners ahead, the segments behind. Mutable; owned by one run."""

    def __init__(self, data: PhysicalData) -> None:
        """Everything stands at time 0, the content at the running level."""
        self.data = data
        self.now_s = 0.0
        self.speeds = [0.0] * len(data.drives)
        self.rates = [0.0] * len(data.drives)
        self.content_m = data.accumulator.running_m if data.accumulator else 0.0
        self.excess = self.excess_rate = 0.0
        self.is_fed = False
        self.corners: list[Corner] = []
        self.segments: list[Segment] = []
        self.decurling = Decurling(data.decurlers, data.rolls)
        self.guides = Guides(data.guides)

    def advance(self, to_s: float) -> None:
        """Let time pass, through every corner up to `to_s`."""
        while self.corners and self.corners[0].time_s <= to_s:
            corner = self.corners.pop(0)
            self._move(corner.time_s)
            self._turn(corner)
            self._mark()
        self._move(to_s)

    def ahead(self) -> Iterator[tuple[Segment, float]]:
        """What comes if nothing changes any more: segments from now on with their lengths in seconds, the last one endless."""
        twin = copy(self)
        twin.speeds, twin.rates = list(self.speeds), list(self.rates)
        twin.corners, twin.segments = list(self.corners), []
        if self.data.decurlers:
            twin.decurling = self.decurling.restarted()
        while twin.corners:
            until_s = twin.corners[0].time_s
            if until_s > twin.now_s:
                yield twin._segment(), until_s - twin.now_s
            twin.advance(until_s)
        yield twin._segment(), float("inf")

    def _set(self, drive: int, speed: float, rate: float) -> None:
        self.speeds[drive], self.rates[drive] = speed, rate
        if self.is_fed and self.data.accumulator is not None and drive == self.data.accumulator.line:
            self._follow()

    def _follow(self) -> None:
        """The unwind runs as fast as the line, and its excess faster."""
        store = self.data.accumulator
        assert store is not None
        self.speeds[store.unwind] = self.speeds[store.line] + self.excess
        self.rates[store.unwind] = self.rates[store.line] + self.excess_rate

    def _move(self, to_s: float) -> None:
        """Let time pass in which nothing turns."""
        passed_s = to_s - self.now_s
        if passed_s <= 0:
            return
        store = self.data.accumulator
        if store is not None:
            net = self.excess if self.is_fed else self.speeds[store.unwind] - self.speeds[store.line]
            rate = self.excess_rate if self.is_fed else self.rates[store.unwind] - self.rates[store.line]
            self.content_m += passed_s * (net + passed_s * rate / 2)
        if self.data.decurlers:
            self.decurling.unwind(passed_s, self.speeds, self.rates)
        self.excess += passed_s * self.excess_rate
        for drive, rate in enumerate(self.rates):
            if rate:
                self.speeds[drive] += passed_s * rate
        self.now_s = to_s
        if self.is_fed:
            self._follow()

    def _turn(self, corner: Corner) -> None:
        if corner.drive == EXCESS:
            self.excess_rate = corner.acceleration
            self.excess = self.excess if corner.speed is None else corner.speed
            self._follow()
            return
        speed = self.speeds[corner.drive] if corner.speed is None else corner.speed
        self._set(corner.drive, speed, corner.acceleration)

    def _segment(self) -> Segment:
        return Segment(self.now_s, tuple(self.speeds), tuple(self.rates), self.content_m, self.is_fed)

    def _mark(self) -> None:
        segments = self.segments
        if segments and segments[-1].start_s == self.now_s:
            segments[-1] = self._segment()
        else:
            segments.append(self._segment())
