"""The curves of a run: speeds, content, carriage speed, diameters, tensions, at any times asked for; exact, not interpolated."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from seqcheck.simulate.decurler_data import DecurlerData
from seqcheck.simulate.decurling import arc_position_mm
from seqcheck.simulate.guide_data import GuideData
from seqcheck.simulate.guides import Passed, web_offsets_mm
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import RollData
from seqcheck.simulate.roll_length import diameter_m, left_m
from seqcheck.simulate.segment import US_PER_S
from seqcheck.simulate.tension_course import Tensions, tension_course
from seqcheck.web.accumulator import carriage_speed_m_per_s

if TYPE_CHECKING:
    from numpy import float64, intp
    from numpy.typing import NDArray

    Numbers = NDArray[float64]


GUIDE_STEP_S = 0.01
"""What enters a guided span counts as straight over the length of web in such a time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One quantity over time: `name` for files, `label` and `unit` for people."""

    name: str
    label: str
    unit: str
    values: tuple[float, ...]


def curves_at(record: MotionRecord, times_s: Sequence[float]) -> tuple[Curve, ...]:
    """Every curve of the run at `times_s` (not before its start)."""
    import numpy

    return tuple(_Reader(record, numpy.asarray(times_s, dtype=float)).curves())


def sample_times_us(record: MotionRecord, step_us: int, events_us: Iterable[int] = ()) -> tuple[int, ...]:
    """Whole microseconds that show every corner of the curves and every event, no two further apart than `step_us`."""
    end_us = round(record.end_s * US_PER_S)
    corners = (round(segment.start_s * US_PER_S) for segment in record.segments)
    fixed = sorted({0, end_us, *(time for time in (*corners, *events_us) if 0 <= time <= end_us)})
    found: list[int] = []
    for first, second in pairwise(fixed):
        found.extend(range(first, second, step_us))
    return (*found, end_us)


class _Reader:
    """Reads the record at some times. Owned by `curves_at`."""

    def __init__(self, record: MotionRecord, times_s: Numbers) -> None:
        import numpy

        self.record = record
        self.data = record.data
        segments = record.segments
        self.starts = numpy.array([segment.start_s for segment in segments])
        self.index: NDArray[intp] = numpy.maximum(numpy.searchsorted(self.starts, times_s, side="right") - 1, 0)
        self.times = times_s
        self.passed = times_s - self.starts[self.index]
        self.speeds = numpy.array([segment.speeds_m_per_s for segment in segments])
        self.rates = numpy.array([segment.accelerations_m_per_s2 for segment in segments])
        self.lengths = numpy.diff(self.starts, append=max(record.end_s, self.starts[-1]))

    def curves(self) -> Iterator[Curve]:
        for number, drive in enumerate(self.data.drives):
            yield self._curve(f"{drive.name}_speed", f"{drive.name} speed", "m/s", self._speed(number))
        if self.data.accumulator is not None:
            yield from self._accumulator_curves()
        for number, roll in enumerate(self.data.rolls):
            yield from self._roll_curves(number, roll)
        for number, decurler in enumerate(self.data.decurlers):
            yield self._decurler_curve(number, decurler)
        for number, guide in enumerate(self.data.guides):
            yield from self._guide_curves(number, guide)
        if self.data.web is not None and self.data.accumulator is not None:
            yield from self._tension_curves()

    def _curve(self, name: str, label: str, unit: str, values: Numbers) -> Curve:
        return Curve(name=name.replace(" ", "_"), label=label, unit=unit, values=tuple(values.tolist()))

    def _speed(self, drive: int) -> Numbers:
        speed: Numbers = self.speeds[self.index, drive] + self.passed * self.rates[self.index, drive]
        return speed

    def _travelled(self, drive: int) -> Numbers:
        """Length that the drive has moved within the segment so far."""
        gone: Numbers = self.passed * (
            self.speeds[self.index, drive] + self.passed * self.rates[self.index, drive] / 2
        )
        return gone

    def _whole(self, drive: int) -> Numbers:
        """Length that the drive moves in each whole segment."""
        whole: Numbers = self.lengths * (self.speeds[:, drive] + self.lengths * self.rates[:, drive] / 2)
        return whole

    def _accumulator_curves(self) -> Iterator[Curve]:
        import numpy

        store = self.data.accumulator
        assert store is not None
        content = numpy.array([segment.content_m for segment in self.record.segments])[self.index]
        content = content + self._travelled(store.unwind) - self._travelled(store.line)
        yield self._curve("content", "accumulator content", "m", store.capacity_m - content if store.takes_up else content)
        first, second = store.span_drives
        pairs = zip(self._speed(first).tolist(), self._speed(second).tolist(), strict=True)
        carriage = numpy.array(
            [
                carriage_speed_m_per_s(
                    strands=store.strands, infeed_speed_m_per_s=infeed, outfeed_speed_m_per_s=outfeed
                )
                for infeed, outfeed in pairs
            ]
        )
        yield self._curve("carriage_speed", "carriage speed", "m/s", carriage)

    def _roll_curves(self, number: int, roll: RollData) -> Iterator[Curve]:
        import numpy

        remaining = self._remaining(number, roll)
        sizes = numpy.array([diameter_m(roll, left) for left in remaining.tolist()])
        yield self._curve(f"{roll.name}_diameter", f"{roll.name} diameter", "m", sizes)
        yield self._curve(f"{roll.name}_remaining", f"{roll.name} remaining", "m", numpy.maximum(remaining, 0.0))

    def _remaining(self, number: int, roll: RollData) -> Numbers:
        import numpy

        unwound = self._unwound(roll.drive)
        remaining: Numbers = left_m(roll, self.record.diameters_m[number]) - unwound
        for change in self.record.replacements:
            if change.roll == number:
                then = _Reader(self.record, numpy.array([change.time_s]))._unwound(roll.drive)
                fresh = left_m(roll, roll.outside_m) - (unwound - then)
                remaining = numpy.where(self.times >= change.time_s, fresh, remaining)
        return remaining

    def _decurler_curve(self, number: int, decurler: DecurlerData) -> Curve:
        """Its position from home, by what it did at each time."""
        import numpy

        roll = self.data.rolls[decurler.roll]
        arcs = [arc for arc in self.record.arcs if arc.decurler == number]
        starts = numpy.array([arc.start_s for arc in arcs])
        index = numpy.maximum(numpy.searchsorted(starts, self.times, side="right") - 1, 0)
        places = [
            arc_position_mm(arcs[place], time_s, decurler.law.position_mm(diameter_m(roll, left)))
            for place, time_s, left in zip(
                index.tolist(), self.times.tolist(), self._remaining(decurler.roll, roll).tolist(), strict=True
            )
        ]
        return self._curve(f"{decurler.name}_position", f"{decurler.name} position", "mm", numpy.array(places))

    def _guide_curves(self, number: int, guide: GuideData) -> Iterator[Curve]:
        """Where the guide is, and how far off the web lies at the end of its span."""
        import numpy

        arcs = [arc for arc in self.record.guide_arcs if arc.guide == number]
        corners = [arc.start_s + part for arc in arcs for part in (0.0, arc.length_s)]
        wanted = sorted({0.0, *corners, *self.starts.tolist(), *self.times.tolist()})
        moments_s = numpy.unique(
            numpy.concatenate([wanted, numpy.arange(0.0, max(self.record.end_s, GUIDE_STEP_S), GUIDE_STEP_S)])
        )
        travel = _Reader(self.record, moments_s)._unwound(guide.drive)
        moments = [Passed(*pair) for pair in zip(moments_s.tolist(), travel.tolist(), strict=True)]
        offsets = numpy.array(web_offsets_mm(guide, arcs, moments))
        starts = numpy.array([arc.start_s for arc in arcs])
        index = numpy.maximum(numpy.searchsorted(starts, self.times, side="right") - 1, 0)
        places = [arcs[k].position_at_mm(t) for k, t in zip(index.tolist(), self.times.tolist(), strict=True)]
        yield self._curve(f"{guide.name}_position", f"{guide.name} position", "mm", numpy.array(places))
        found = offsets[numpy.searchsorted(moments_s, self.times)]
        yield self._curve(f"{guide.name}_offset", f"web offset behind {guide.name}", "mm", found)

    def _unwound(self, drive: int) -> Numbers:
        """Length that the drive has moved since the start."""
        import numpy

        before = numpy.concatenate(([0.0], self._whole(drive).cumsum()[:-1]))
        unwound: Numbers = before[self.index] + self._travelled(drive)
        return unwound

    def _tension_curves(self) -> Iterator[Curve]:
        import numpy

        store, web = self.data.accumulator, self.data.web
        assert store is not None and web is not None
        table = numpy.array(self._courses())[self.index]
        is_whole = numpy.ones(len(self.times), dtype=bool)
        if self.record.broken_s is not None:
            is_whole = self.times < self.record.broken_s
        first, second = store.span_drives
        for where, drive, now, enters in (("before", first, 0, 2), ("after", second, 1, 3)):
            left = numpy.exp(-self._travelled(drive) / web.span_m)
            tension = table[:, enters] + (table[:, now] - table[:, enters]) * left
            yield self._curve(
                f"tension_{where}", f"tension {where} accumulator", "N", numpy.where(is_whole, tension, 0.0)
            )

    def _courses(self) -> list[Tensions]:
        rolls = self.data.rolls
        remaining_m = left_m(rolls[0], self.record.diameters_m[0]) if rolls else None
        parts = list(zip(self.record.segments, self.lengths.tolist(), strict=True))
        return list(tension_course(self.data, parts, remaining_m=remaining_m))
