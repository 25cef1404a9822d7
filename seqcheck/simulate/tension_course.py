"""Web tension before and after the accumulator, from segment to segment: exact while accelerations are constant.

Before it, the roll's own inertia pulls at the web, but for the share that its drive takes over: T1 = T_run + share J a / r^2.
After it, the carriage's inertia does: T1 = T_run - m a_c / N with a_c = (a_in - a_out) / N. Each span follows its T1 with the
length that runs through it (web/span_response.py). The roll's diameter counts as constant within one segment.

At a rewind the carriage's inertia acts before the accumulator, and after it the roll's: T = T_run - share J a / r^2, at once, since
the torque of the rewind pulls at the end of the span and not at its beginning.
Source: torque balance of a roll that is unwound or wound; balance of forces on the carriage.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from seqcheck.simulate.physical_data import PhysicalData, RollData, WebData
from seqcheck.simulate.roll_length import diameter_m
from seqcheck.simulate.segment import Segment
from seqcheck.web.roll import Roll, roll_inertia_kg_m2
from seqcheck.web.span_response import tension_after_travel_n


class Tensions(NamedTuple):
    """Tensions at the start of a segment, and those that enter both spans in it."""

    before_n: float
    after_n: float
    enters_before_n: float
    enters_after_n: float


def travelled_m(segment: Segment, drive: int, time_s: float) -> float:
    """Web that the drive has moved `time_s` after the start of the segment."""
    return time_s * (segment.speeds_m_per_s[drive] + time_s * segment.accelerations_m_per_s2[drive] / 2)


def entering_n(data: PhysicalData, web: WebData, segment: Segment, diameter_m: float | None) -> tuple[float, float]:
    """The tensions that enter the span before and the span after the accumulator."""
    store = data.accumulator
    assert store is not None
    rates = segment.accelerations_m_per_s2
    carriage_m_per_s2 = (rates[store.unwind] - rates[store.line]) / store.strands
    carriage_n = store.carriage_kg * carriage_m_per_s2 / store.strands
    if store.takes_up:
        return web.run_n + carriage_n, web.run_n - _wound_force_n(data, web, rates[store.unwind])
    before_n = web.run_n
    if diameter_m is not None and data.rolls:
        before_n += inertia_force_n(web, data.rolls[0], diameter_m, rates[store.unwind])
    return before_n, web.run_n - carriage_n


def _wound_force_n(data: PhysicalData, web: WebData, acceleration_m_per_s2: float) -> float:
    """What of J a / r^2 of the full roll on a rewind the web has to give."""
    if data.wound is None:
        return 0.0
    return inertia_force_n(web, data.wound, data.wound.outside_m, acceleration_m_per_s2)


def inertia_force_n(web: WebData, roll: RollData, diameter_m: float, acceleration_m_per_s2: float) -> float:
    """What of J a / r^2 the web itself has to give."""
    wound = Roll(
        core_diameter_m=roll.core_m,
        caliper_m=roll.caliper_m,
        width_m=web.width_m,
        grammage_kg_per_m2=web.grammage_kg_per_m2,
    )
    inertia_kg_m2 = roll_inertia_kg_m2(wound, max(diameter_m, roll.core_m))
    return web.share * inertia_kg_m2 * acceleration_m_per_s2 / (diameter_m / 2) ** 2


def tension_course(
    data: PhysicalData,
    parts: Iterable[tuple[Segment, float]],
    *,
    remaining_m: float | None,
    start: tuple[float, float] | None = None,
) -> Iterator[Tensions]:
    """The tensions of segments with their lengths in time, from `start` (default: at rest) on.

    `remaining_m`: web on the roll at the start; None: its inertia is not known.
    """
    web, store = data.web, data.accumulator
    assert web is not None and store is not None
    before_n, after_n = start or (web.run_n, web.run_n)
    for segment, length_s in parts:
        size_m = None if remaining_m is None or not data.rolls else diameter_m(data.rolls[0], remaining_m)
        enters = entering_n(data, web, segment, size_m)
        after_n = enters[1] if store.takes_up else after_n
        yield Tensions(before_n, after_n, *enters)
        before_m, after_m = (travelled_m(segment, drive, length_s) for drive in store.span_drives)
        before_n = _after_n(enters[0], before_n, before_m, web.span_m)
        after_n = _after_n(enters[1], after_n, after_m, web.span_m)
        remaining_m = None if remaining_m is None else remaining_m - before_m


def _after_n(entry_n: float, now_n: float, travel_m: float, span_m: float) -> float:
    return tension_after_travel_n(
        entry_tension_n=entry_n, tension_n=now_n, travel_m=travel_m, span_length_m=span_m
    )
