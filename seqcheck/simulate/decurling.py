"""Where decurlers stand in a run: at home, on its way at its rate, or following the diameter.

The sequence says what it does; how long it takes, the distance says. While it engages, the web speed counts as constant.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from seqcheck.plant.decurler import RATE_SPREAD
from seqcheck.simulate.decurler_data import DecurlerData, Doing
from seqcheck.simulate.physical_data import RollData
from seqcheck.simulate.roll_length import diameter_m, left_m

SLOW_FACTOR = 3.0
PPM = 1_000_000
ROUNDS = 12
"""How often a time of arrival is corrected; each time the error shrinks as the law's rate against the decurler's."""


class Arc(NamedTuple):
    """From `start_s` on decurler `decurler` does this, beginning at `position_mm`, at `rate_mm_per_s` where it goes anywhere."""

    start_s: float
    decurler: int
    doing: Doing
    position_mm: float
    rate_mm_per_s: float


def arc_position_mm(arc: Arc, time_s: float, wanted_mm: float) -> float:
    """Where a decurler stands at a time of its arc; `wanted_mm` is where the diameter wants it then."""
    gone_mm = arc.rate_mm_per_s * (time_s - arc.start_s)
    match arc.doing:
        case Doing.HOME:
            return 0.0
        case Doing.FOLLOWS:
            return wanted_mm
        case Doing.BACKS_OFF:
            return max(0.0, arc.position_mm - gone_mm)
        case Doing.ENGAGES if arc.position_mm <= wanted_mm:
            return min(wanted_mm, arc.position_mm + gone_mm)
        case Doing.ENGAGES:
            return max(wanted_mm, arc.position_mm - gone_mm)
    return arc.position_mm


def arc_length_s(arc: Arc, wanted_mm: float) -> float:
    """How long its motion takes; zero where it goes nowhere."""
    aims = {Doing.ENGAGES: wanted_mm, Doing.BACKS_OFF: 0.0}
    if arc.doing not in aims:
        return 0.0
    return abs(aims[arc.doing] - arc.position_mm) / arc.rate_mm_per_s


def rate_range_ppm() -> tuple[int, int]:
    """How slow the rate may be, in millionths of the time at the stated rate, fastest and slowest."""
    fast, slow = round(PPM * (1 + RATE_SPREAD)), round(PPM * (1 - RATE_SPREAD))
    return -(-PPM * PPM // fast), PPM * PPM // slow


class Decurling:
    """The decurlers of one run. Mutable; owned by its physics."""

    def __init__(
        self,
        decurlers: tuple[DecurlerData, ...],
        rolls: tuple[RollData, ...],
        rolls_m: tuple[float, ...] | None = None,
    ) -> None:
        """Begin with so much web on the rolls (new ones if not given) and stated rates."""
        self.decurlers = decurlers
        self.rolls = rolls
        self.rolls_m = list(rolls_m or (left_m(roll, roll.outside_m) for roll in rolls))
        self.rates_mm_per_s = [part.rate_mm_per_s for part in decurlers]
        self.arcs: list[Arc] = []

    def draw_rates(self, draw: Callable[[int, int], int]) -> None:
        """Rates of this run. The draw is a slowness, so that the earliest times of everything go together."""
        fastest, slowest = rate_range_ppm()
        self.rates_mm_per_s = [part.rate_mm_per_s * PPM / draw(fastest, slowest) for part in self.decurlers]

    def restarted(self) -> Decurling:
        """The same at a new time 0, from where all of them stand."""
        twin = Decurling(self.decurlers, self.rolls, tuple(self.rolls_m))
        twin.rates_mm_per_s = list(self.rates_mm_per_s)
        twin.arcs = [arc._replace(start_s=0.0) for arc in map(self._last, range(len(self.decurlers))) if arc]
        return twin

    def unwind(
        self, passed_s: float, speeds_m_per_s: list[float], accelerations_m_per_s2: list[float]
    ) -> None:
        """So much time has passed, in which nothing turned."""
        for number, roll in enumerate(self.rolls):
            mean_m_per_s = speeds_m_per_s[roll.drive] + passed_s * accelerations_m_per_s2[roll.drive] / 2
            self.rolls_m[number] -= passed_s * mean_m_per_s

    def change(
        self, number: int, place: int, now_s: float, speeds_m_per_s: list[float]
    ) -> tuple[int, float] | None:
        """A decurler has come to another position; the event that ends it and how long that takes, if any does."""
        data = self.decurlers[number]
        wanted_mm = self._wanted_mm(data, 0.0)
        last = self._last(number)
        found_mm = wanted_mm if data.doing[place] in (Doing.FOLLOWS, Doing.BACKS_OFF) else 0.0
        position_mm = found_mm if last is None else arc_position_mm(last, now_s, wanted_mm)
        rate = self.rates_mm_per_s[number] / (SLOW_FACTOR if data.is_slow[place] else 1.0)
        arc = Arc(now_s, number, data.doing[place], position_mm, rate)
        self.arcs.append(arc)
        key = data.keys[place]
        return None if key is None else (key, self._length_s(arc, data, speeds_m_per_s))

    def _length_s(self, arc: Arc, data: DecurlerData, speeds_m_per_s: list[float]) -> float:
        """How long the motion takes, to where the diameter wants it at its end."""
        speed_m_per_s = speeds_m_per_s[self.rolls[data.roll].drive]
        length_s = 0.0
        for _ in range(ROUNDS):
            length_s = arc_length_s(arc, self._wanted_mm(data, speed_m_per_s * length_s))
        return length_s

    def _wanted_mm(self, data: DecurlerData, unwound_m: float) -> float:
        """Where the diameter wants it once so much more has been unwound."""
        return data.law.position_mm(diameter_m(self.rolls[data.roll], self.rolls_m[data.roll] - unwound_m))

    def _last(self, number: int) -> Arc | None:
        return next((arc for arc in reversed(self.arcs) if arc.decurler == number), None)
