"""The accumulator's content over time, for any speeds of infeed and outfeed that are made of linear ramps.

Between two corners both speeds are straight lines, so the content is a parabola: exact at the corners by the
trapezoid rule, and extreme either at a corner or where the two speeds cross. Both kinds of instant are kept,
so the lowest and the highest point of the history are the true ones.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class SpeedPoint:
    """A corner of a speed course. The speed is straight between corners and held before the first, after the
    last."""

    time_s: float
    speed_m_per_s: float


@dataclass(frozen=True, slots=True)
class ContentPoint:
    """Content at one instant."""

    time_s: float
    content_m: float


def speed_at_m_per_s(course: Sequence[SpeedPoint], time_s: float) -> float:
    """Speed of a course at one instant.

    Raises ValueError if the course is empty, or its instants do not rise strictly.
    Source: linear interpolation.
    """
    _require_rising(course)
    return _interpolated(course, time_s)


def content_history(
    content_m: float,
    *,
    infeed: Sequence[SpeedPoint],
    outfeed: Sequence[SpeedPoint],
    from_s: float,
    until_s: float,
) -> tuple[ContentPoint, ...]:
    """Content at `from_s` (as given), at every corner and crossing of the two courses, and at `until_s`.

    The content is not clipped: below 0 it is web the line did not get, above capacity web with nowhere to go.

    Raises ValueError if `until_s` lies before `from_s`, a course is empty, or its instants do not rise
    strictly.
    Source: content(t) = content(0) + integral of (v_in - v_out), conservation of length.
    """
    if until_s < from_s:
        raise ValueError(f"the history would end, at {until_s} s, before it begins, at {from_s} s")
    _require_rising(infeed)
    _require_rising(outfeed)
    net = _net_speeds(infeed, outfeed, from_s, until_s)
    points = [ContentPoint(from_s, content_m)]
    for first, second in pairwise(_with_crossings(net)):
        mean_m_per_s = (first.speed_m_per_s + second.speed_m_per_s) / 2
        content_m += mean_m_per_s * (second.time_s - first.time_s)
        points.append(ContentPoint(second.time_s, content_m))
    return tuple(points)


def lowest(history: Sequence[ContentPoint]) -> ContentPoint:
    """The instant of least content, the first one where several tie.

    Source: definition.
    """
    return min(history, key=lambda point: point.content_m)


def highest(history: Sequence[ContentPoint]) -> ContentPoint:
    """The instant of most content, the first one where several tie.

    Source: definition.
    """
    return max(history, key=lambda point: point.content_m)


def _net_speeds(
    infeed: Sequence[SpeedPoint], outfeed: Sequence[SpeedPoint], from_s: float, until_s: float
) -> list[SpeedPoint]:
    corners = {point.time_s for point in (*infeed, *outfeed) if from_s < point.time_s < until_s}
    return [
        SpeedPoint(time_s, _interpolated(infeed, time_s) - _interpolated(outfeed, time_s))
        for time_s in sorted(corners | {from_s, until_s})
    ]


def _with_crossings(net: Sequence[SpeedPoint]) -> Iterator[SpeedPoint]:
    yield net[0]
    for first, second in pairwise(net):
        if first.speed_m_per_s * second.speed_m_per_s < 0:
            part = first.speed_m_per_s / (first.speed_m_per_s - second.speed_m_per_s)
            yield SpeedPoint(first.time_s + part * (second.time_s - first.time_s), 0.0)
        yield second


def _interpolated(course: Sequence[SpeedPoint], time_s: float) -> float:
    index = bisect_right(course, time_s, key=lambda point: point.time_s)
    if index == 0:
        return course[0].speed_m_per_s
    if index == len(course):
        return course[-1].speed_m_per_s
    before, after = course[index - 1], course[index]
    part = (time_s - before.time_s) / (after.time_s - before.time_s)
    return before.speed_m_per_s + part * (after.speed_m_per_s - before.speed_m_per_s)


def _require_rising(course: Sequence[SpeedPoint]) -> None:
    if not course:
        raise ValueError("a speed course needs at least one point")
    for before, after in pairwise(course):
        if not before.time_s < after.time_s:
            raise ValueError(f"a speed course must rise in time: {before.time_s} s, {after.time_s} s")
