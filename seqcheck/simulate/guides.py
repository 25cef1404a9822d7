"""Where web guides stand in a run, and how far off the web lies behind them.

The web of one roll comes `weave` to one side, that of the other roll as far to the other: each time a guide is let go after a hold,
the web has been spliced and the other one comes. The guide goes after it at its rate. What it leaves is found at the end of the
span by web/lateral.py. Source of the weave's course: an assumption, the worst that the file's number allows in one step.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import copysign
from typing import NamedTuple

from seqcheck.plant.web_guide import RATE_SPREAD
from seqcheck.simulate.guide_data import GuideData, Guiding
from seqcheck.web.lateral import lateral_along_travel_mm

PPM = 1_000_000


_GOES_AFTER = (Guiding.GUIDES, Guiding.STRAYS, Guiding.RUNS_OFF)


class GuideArc(NamedTuple):
    """From `start_s` on guide `guide` goes from `position_mm` to `aim_mm` at a rate; the web before it lies at `weave_mm`."""

    start_s: float
    guide: int
    position_mm: float
    aim_mm: float
    rate_mm_per_s: float
    weave_mm: float

    def position_at_mm(self, time_s: float) -> float:
        """Where the guide is."""
        gone_mm = self.rate_mm_per_s * (time_s - self.start_s)
        missing_mm = self.aim_mm - self.position_mm
        return self.position_mm + copysign(min(gone_mm, abs(missing_mm)), missing_mm)

    @property
    def length_s(self) -> float:
        """How long it is on its way."""
        return abs(self.aim_mm - self.position_mm) / self.rate_mm_per_s


class Guides:
    """The guides of one run. Mutable; owned by its physics."""

    def __init__(self, guides: tuple[GuideData, ...]) -> None:
        """Begin with stated rates."""
        self.guides = guides
        self.rates_mm_per_s = [part.rate_mm_per_s for part in guides]
        self.was_held = [False] * len(guides)
        self.arcs: list[GuideArc] = []

    def draw_rates(self, draw: Callable[[int, int], int]) -> None:
        """Rates of this run. The draw is a slowness, so that the earliest times of everything go together."""
        fastest, slowest = (round(PPM / (1 + spread)) for spread in (RATE_SPREAD, -RATE_SPREAD))
        self.rates_mm_per_s = [part.rate_mm_per_s * PPM / draw(fastest, slowest) for part in self.guides]

    def restarted(self) -> Guides:
        """The same at a new time 0, from where all of them stand."""
        twin = Guides(self.guides)
        twin.rates_mm_per_s, twin.was_held = list(self.rates_mm_per_s), list(self.was_held)
        for number in range(len(self.guides)):
            last = self._last(number)
            if last is not None:
                twin.arcs.append(last._replace(start_s=0.0, position_mm=last.aim_mm))
        return twin

    def change(self, number: int, place: int, now_s: float) -> tuple[int, float] | None:
        """A guide has come to another position; the event that its arrival brings and how long that takes, if any does."""
        data, last = self.guides[number], self._last(number)
        weave_mm = data.weave_mm if last is None else last.weave_mm
        if self.was_held[number] and data.guiding[place] in _GOES_AFTER:
            weave_mm, self.was_held[number] = -weave_mm, False
        self.was_held[number] = self.was_held[number] or data.is_held[place]
        position_mm = weave_mm if last is None else last.position_at_mm(now_s)
        aim_mm = _aim_mm(data, data.guiding[place], position_mm, weave_mm)
        arc = GuideArc(now_s, number, position_mm, aim_mm, self.rates_mm_per_s[number], weave_mm)
        self.arcs.append(arc)
        key = data.keys[place]
        return None if key is None else (key, arc.length_s)

    def _last(self, number: int) -> GuideArc | None:
        return next((arc for arc in reversed(self.arcs) if arc.guide == number), None)


def _aim_mm(data: GuideData, guiding: Guiding, position_mm: float, weave_mm: float) -> float:
    match guiding:
        case Guiding.GUIDES:
            return weave_mm
        case Guiding.CENTRES:
            return 0.0
        case Guiding.STRAYS:
            return weave_mm - copysign(data.weave_mm, weave_mm)
        case Guiding.RUNS_OFF:
            return copysign(data.travel_mm, position_mm)
    return position_mm


class Passed(NamedTuple):
    """A moment on the way, and the length of web that has passed since the start."""

    time_s: float
    travel_m: float


def web_offsets_mm(data: GuideData, arcs: list[GuideArc], moments: list[Passed]) -> list[float]:
    """How far off the web lies at the end of the span at each moment, guided at the first.

    Between two moments what enters counts as straight over the length; so they should lie close while a guide moves.
    """
    found = [0.0]
    number = 0
    for before, after in pairwise(moments):
        while number + 1 < len(arcs) and arcs[number + 1].start_s <= before.time_s:
            number += 1
        found.append(_next_mm(data, arcs[number], before, after, found[-1]))
    return found


def _next_mm(data: GuideData, arc: GuideArc, before: Passed, after: Passed, offset_mm: float) -> float:
    travel_m = after.travel_m - before.travel_m
    if travel_m <= 0 or data.span_m <= 0:
        return offset_mm
    entering = [arc.weave_mm - arc.position_at_mm(moment.time_s) for moment in (before, after)]
    return lateral_along_travel_mm(
        entering_mm=entering[0],
        slope_mm_per_m=(entering[1] - entering[0]) / travel_m,
        position_mm=offset_mm,
        travel_m=travel_m,
        span_m=data.span_m,
    )
