"""The physics of many runs at once: least content, tensions, and the balance of web, exact as for a single run.

The formulas are those of tension_course.py and of motion at constant acceleration, over arrays of run by segment. Content and
tension are extreme at corners of the speeds or where the speeds cross, so no extreme is missed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING, Protocol

from seqcheck.simulate.accumulator_data import AccumulatorData
from seqcheck.simulate.physical_data import PhysicalData, RollData, WebData
from seqcheck.simulate.quick_run import QuickRun
from seqcheck.simulate.roll_length import left_m
from seqcheck.simulate.segment import Segment
from seqcheck.simulate.tension_course import inertia_force_n
from seqcheck.web.span_response import tensions_after_travel_n

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Numbers = NDArray[float64]


class Moved(Protocol):
    """A run whose motion is known."""

    @property
    def segments(self) -> list[Segment]:
        """Its segments."""

    @property
    def run(self) -> QuickRun:
        """The run."""

    @property
    def diameter_m(self) -> float | None:
        """Of the roll at the start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Motions:
    """One value a run. Content in metres: the least while the unwind was not at speed (None: it always was); at a rewind, of room.

    `imbalance`: web in less web out less change of content, relative to web in.
    """

    least_content_m: tuple[float | None, ...]
    peak_tension_n: tuple[float, ...]
    least_tension_n: tuple[float, ...]
    web_in_m: tuple[float, ...]
    imbalance: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Table:
    """Arrays of run by segment; lengths of segments that a run does not have are 0."""

    length: Numbers
    unwind: Numbers
    unwind_rate: Numbers
    line: Numbers
    line_rate: Numbers
    content: Numbers
    is_fed: Numbers

    def unwound(self) -> Numbers:
        """Web in, each segment."""
        return self.length * (self.unwind + self.length * self.unwind_rate / 2)

    def drawn(self) -> Numbers:
        """Web out, each segment."""
        return self.length * (self.line + self.length * self.line_rate / 2)


def motions(data: PhysicalData, runs: Sequence[Moved]) -> Motions | None:
    """The motions of all runs; None where the file has no accumulator."""
    store = data.accumulator
    if store is None or not runs:
        return None
    table = _table(store, runs)
    peak, least = _tensions(data, store, table, runs)
    into = table.unwound().sum(axis=1)
    change = _end_contents(runs) - table.content[:, 0]
    balance = (into - table.drawn().sum(axis=1) - change) / _at_least(into, 1.0)
    return Motions(
        least_content_m=_least_content(table),
        peak_tension_n=tuple(peak.tolist()),
        least_tension_n=tuple(least.tolist()),
        web_in_m=tuple(into.tolist()),
        imbalance=tuple(balance.tolist()),
    )


def _at_least(values: Numbers, least: float) -> Numbers:
    from numpy import maximum

    return maximum(values, least)


def _end_contents(runs: Sequence[Moved]) -> Numbers:
    from numpy import array

    return array([0.0 if run.run.physics is None else run.run.physics.content_m for run in runs])


def _table(store: AccumulatorData, runs: Sequence[Moved]) -> _Table:
    from numpy import array, zeros

    unwind, line = store.unwind, store.line
    counts = [len(run.segments) for run in runs]
    flat = array(
        [
            (
                segment[0], segment[1][unwind], segment[2][unwind], segment[1][line], segment[2][line],
                segment[3], segment[4],
            )
            for run in runs
            for segment in run.segments
        ]
    )  # fmt: skip
    filled = zeros((7, len(runs), max(counts)))
    rows = array([number for number, count in enumerate(counts) for _ in range(count)])
    columns = array([place for count in counts for place in range(count)])
    filled[:, rows, columns] = flat.T
    ends = array([0.0 if run.run.physics is None else run.run.physics.now_s for run in runs])
    return _Table(_lengths(filled[0], array(counts), ends), *filled[1:])


def _lengths(starts: Numbers, counts: Numbers, ends: Numbers) -> Numbers:
    from numpy import arange, diff, where, zeros

    number = arange(starts.shape[1])
    until = zeros(starts.shape)
    until[:, :-1] = starts[:, :-1] + diff(starts, axis=1)
    is_last = number == counts[:, None] - 1
    until = where(is_last, ends[:, None], until)
    return where(number < counts[:, None], until - starts, 0.0)


def _least_content(table: _Table) -> tuple[float | None, ...]:
    from numpy import clip, divide, inf, isfinite, minimum, where, zeros_like

    net, rate = table.unwind - table.line, table.unwind_rate - table.line_rate
    # Where the speeds cross within the segment, else at its start.
    crossing = divide(-net, rate, out=zeros_like(net), where=rate != 0)
    crossing = clip(crossing, 0.0, table.length)
    least = table.content
    for after in (crossing, table.length):
        least = minimum(least, table.content + after * (net + after * rate / 2))
    drawn = where((table.is_fed == 0) & (table.length > 0), least, inf).min(axis=1)
    return tuple(value if isfinite(value) else None for value in drawn.tolist())


def _tensions(
    data: PhysicalData, store: AccumulatorData, table: _Table, runs: Sequence[Moved]
) -> tuple[Numbers, Numbers]:
    """The highest and the lowest tension of either span in each run."""
    from numpy import full, maximum, minimum

    web = data.web
    if web is None:
        return full(len(runs), 0.0), full(len(runs), 0.0)
    peak = least = full(len(runs), web.run_n)
    if store.takes_up:
        wound_n = web.run_n - _wound_forces(data, web, table)
        peak, least = maximum(peak, wound_n.max(axis=1)), minimum(least, wound_n.min(axis=1))
    for enters, travel in _spans(data, store, web, table, runs):
        now = full(len(runs), web.run_n)
        for segment in range(travel.shape[1]):
            now = tensions_after_travel_n(
                entry_tension_n=enters[:, segment],
                tension_n=now,
                travel_m=travel[:, segment],
                span_length_m=web.span_m,
            )
            peak, least = maximum(peak, now), minimum(least, now)
    return peak, least


def _spans(
    data: PhysicalData, store: AccumulatorData, web: WebData, table: _Table, runs: Sequence[Moved]
) -> tuple[tuple[Numbers, Numbers], ...]:
    """The tensions that enter the spans which follow with the web that runs through, and that web; each segment."""
    carriage = (table.unwind_rate - table.line_rate) / store.strands
    carriage_n = store.carriage_kg * carriage / store.strands
    if store.takes_up:
        return ((web.run_n + carriage_n, table.drawn()),)
    return (
        (web.run_n + _inertia_forces(data, web, table, runs), table.unwound()),
        (web.run_n - carriage_n, table.drawn()),
    )


def _wound_forces(data: PhysicalData, web: WebData, table: _Table) -> Numbers:
    """What of J a / r^2 of the full roll on a rewind the web gives, each segment."""
    from numpy import zeros_like

    if data.wound is None:
        return zeros_like(table.unwind)
    force: Numbers = inertia_force_n(web, data.wound, data.wound.outside_m, 1.0) * table.unwind_rate
    return force


def _inertia_forces(data: PhysicalData, web: WebData, table: _Table, runs: Sequence[Moved]) -> Numbers:
    """What of J a / r^2 the web gives, each segment; the roll at its diameter at the segment's start."""
    from numpy import array, maximum, zeros_like

    if not data.rolls:
        return zeros_like(table.unwind)
    roll = data.rolls[0]
    starts = array([left_m(roll, run.diameter_m or roll.outside_m) for run in runs])[:, None]
    unwound = table.unwound()
    square = _squared_diameters(roll, maximum(starts - (unwound.cumsum(axis=1) - unwound), 0.0))
    return web.share * _inertias(web, roll, square) * table.unwind_rate * 4 / square


def _squared_diameters(roll: RollData, remaining_m: Numbers) -> Numbers:
    return roll.core_m**2 + 4 * roll.caliper_m * remaining_m / pi


def _inertias(web: WebData, roll: RollData, squared_diameters_m2: Numbers) -> Numbers:
    """J = m (D^2 + d^2) / 8 with m = grammage x width x length."""
    length_m = pi * (squared_diameters_m2 - roll.core_m**2) / (4 * roll.caliper_m)
    mass_kg = length_m * web.width_m * web.grammage_kg_per_m2
    return mass_kg * (squared_diameters_m2 + roll.core_m**2) / 8
