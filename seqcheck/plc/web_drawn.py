"""Web drawn from the accumulator in each stop of the unwind: from recorded speeds, or bounded from the moments of its ramps.

Bounded: with linear ramps, the unwind leaving line speed at t0, standing at t1, restarted at t2 and back at speed at t3, the draw
is v/2 * ((t2 - t0) + (t3 - t1)); a ramp broken off counts as standing from t0. Source: area between two trapezoids.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.language.sequence import Sequence
from seqcheck.plc.channel import Channel, ChannelKind
from seqcheck.plc.held import LONG_AGO_US
from seqcheck.plc.machine_follower import MachineFollower
from seqcheck.plc.moment import Moment
from seqcheck.plc.replayed import Draw

MOST_DRAWS = 1_000
SLOWER = 0.005
"""The unwind feeds less than the line takes if it is slower by this share of line speed; less is noise of a tachometer."""

Between = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Feeding:
    """The drives around the accumulator, and the speed of the line in the file."""

    unwind: str
    line: str
    speed_m_per_s: float


def feeding_of(sequence: Sequence) -> Feeding | None:
    """The feeding of the sequence's accumulator; None if it has none, or no line speed."""
    for device in sequence.devices:
        if device.type_name == "accumulator" and sequence.machine.line is not None:
            unwind, line = device.value("unwind", str), device.value("line", str)
            if unwind is not None and line is not None:
                return Feeding(unwind, line, sequence.machine.line.speed_m_per_s)
    return None


@dataclass(slots=True)
class DrawnBySpeeds:
    """Integrates the recorded speeds. Mutable; fed with every row."""

    feeding: Feeding
    unwind: int = -1
    line: int = -1
    draws: list[Draw] = field(default_factory=list)
    last: tuple[int, float, float] | None = None
    begun_us: int | None = None
    drawn_m: float = 0.0

    def expect(self, channels: tuple[Channel, ...]) -> None:
        """Learn in which order speeds will come."""
        names = [item.name for item in channels if item.kind is ChannelKind.SPEED]
        if f"{self.feeding.unwind}.speed" in names and f"{self.feeding.line}.speed" in names:
            self.unwind = names.index(f"{self.feeding.unwind}.speed")
            self.line = names.index(f"{self.feeding.line}.speed")

    @property
    def is_possible(self) -> bool:
        """Whether both speeds are recorded."""
        return self.unwind >= 0

    def speeds(self, time_us: int, metres_per_second: tuple[float, ...]) -> None:
        """The next row."""
        if self.unwind < 0:
            return
        unwind, line = metres_per_second[self.unwind], metres_per_second[self.line]
        missing = line - unwind
        is_drawing = missing > SLOWER * self.feeding.speed_m_per_s
        if self.last is not None and (is_drawing or self.begun_us is not None):
            then_us, then_unwind, then_line = self.last
            if self.begun_us is None:
                self.begun_us, self.drawn_m = then_us, 0.0
            self.drawn_m += (time_us - then_us) / 1e6 * (missing + then_line - then_unwind) / 2
        if not is_drawing and self.begun_us is not None:
            self._end(time_us)
        self.last = time_us, unwind, line

    def _end(self, time_us: int) -> None:
        assert self.begun_us is not None, "a draw has begun"
        if len(self.draws) < MOST_DRAWS:
            drawn_m = max(0.0, self.drawn_m)
            self.draws.append(
                Draw(from_us=self.begun_us, until_us=time_us, least_m=drawn_m, most_m=drawn_m, by_speeds=True)
            )
        self.begun_us = None


@dataclass(slots=True)
class DrawnByRanges:
    """Follows the unwind's ramps. Mutable; fed with every moment."""

    feeding: Feeding
    unwind: MachineFollower
    line: MachineFollower
    draws: list[Draw] = field(default_factory=list)
    left: Between | None = None
    stood: Between | None = None
    restarted: Between | None = None
    back: Between | None = None
    was_at_speed: bool = False
    line_kept: bool = True

    def take(self, moment: Moment) -> None:
        """The followers have gone on to `moment`."""
        at_speed, standing, starting = (self._when(fact) for fact in ("is_at_speed", "is_stopped", "is_starting"))
        now = moment.earliest_us, moment.latest_us
        surely_at_speed = self._all("is_at_speed")
        if self.left is None:
            if self.was_at_speed and at_speed is None:
                self.left, self.stood, self.restarted, self.back, self.line_kept = now, None, None, None, True
        else:
            self.line_kept &= self.line.positions() <= self.line.machine.facts["is_at_speed"]
            if at_speed is None and self.back is not None:  # it was back at speed unseen, and leaves it again
                self._end()
                self.left, self.stood, self.restarted = now, None, None
            self.stood = standing or self.stood
            if self.restarted is None and standing is None and starting is not None:
                self.restarted = now
            self.back = at_speed
            if surely_at_speed:
                self._end()
        self.was_at_speed = surely_at_speed

    def _all(self, fact: str) -> bool:
        return bool(self.unwind.standing) and self.unwind.positions() <= self.unwind.machine.facts[fact]

    def _when(self, fact: str) -> Between | None:
        """Since when the unwind may be so."""
        parts = [part for part in self.unwind.standing if part.position in self.unwind.machine.facts[fact]]
        if not parts or min(part.lo_us for part in parts) <= LONG_AGO_US:
            return None if not parts else (LONG_AGO_US, max(part.hi_us for part in parts))
        return min(part.lo_us for part in parts), max(part.hi_us for part in parts)

    def _end(self) -> None:
        assert self.left is not None, "a draw has begun"
        back = self.back or self.left
        restarted = self.restarted or back
        stood = self.stood or self.left
        if len(self.draws) < MOST_DRAWS and min(*self.left, *back, *restarted, *stood) > LONG_AGO_US:
            least_us = max(0, restarted[0] - self.left[1]) + max(0, back[0] - stood[1])
            most_us = max(0, restarted[1] - self.left[0]) + max(0, back[1] - stood[0])
            half = self.feeding.speed_m_per_s / 2 / 1e6
            least_m = least_us * half if self.line_kept else 0.0
            self.draws.append(
                Draw(from_us=self.left[0], until_us=back[1], least_m=least_m, most_m=most_us * half, by_speeds=False)
            )
        self.left = self.back = None
