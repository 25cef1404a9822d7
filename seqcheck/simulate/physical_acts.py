"""What the physics itself does to a sequence: a roll runs low and out, a web breaks that is pulled too hard.

In the sequence these are acts of the surroundings and a failure, at any time or never; here they come when the length left on the
roll, or the tension, says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.event import Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.simulate.interventions import Does, Intervention, edge_for
from seqcheck.simulate.motion import MotionRecord, Replacement
from seqcheck.simulate.physical_data import RollData, WebData
from seqcheck.simulate.physics import Physics
from seqcheck.simulate.roll_length import left_m
from seqcheck.simulate.segment import US_PER_S, Segment
from seqcheck.simulate.tension_course import Tensions, tension_course, travelled_m
from seqcheck.web.crossing import time_to_go_s
from seqcheck.web.span_response import travel_to_tension_m

BREAKS = "breaks"


@dataclass(frozen=True, slots=True)
class _Coming:
    """What comes next, when, and on which roll (None: a break)."""

    time_s: float
    intervention: Intervention


class PhysicalActs:
    """Watches one run's physics. Mutable; owned by the run."""

    def __init__(self, network: Network, physics: Physics, diameters_m: tuple[float, ...] = ()) -> None:
        """Rolls begin at `diameters_m`, or new."""
        self.network = network
        self.physics = physics
        rolls = physics.data.rolls
        self.diameters_m = diameters_m or tuple(roll.outside_m for roll in rolls)
        self.remaining_m = [left_m(roll, size) for roll, size in zip(rolls, self.diameters_m, strict=True)]
        physics.rolls_are(self.remaining_m)
        self.low_m = [0.0 if roll.low_m is None else _between(roll.low_m, physics) for roll in rolls]
        self.breaking = [mode.name for mode in network.failures if mode.name.endswith(f".{BREAKS}")]
        self.replacements: list[Replacement] = []
        self.broken_s: float | None = None
        self.tensions: Tensions | None = None
        self.consumed = 0
        self.known: tuple[object, _Coming | None] = (None, None)
        self.refused: set[tuple[int, str]] = set()
        self.labels: dict[int, str] = {}

    def record(self) -> MotionRecord:
        """What the machine has done so far."""
        return MotionRecord(
            data=self.physics.data,
            segments=tuple(self.physics.segments),
            end_s=self.physics.now_s,
            diameters_m=self.diameters_m,
            replacements=tuple(self.replacements),
            broken_s=self.broken_s,
            arcs=tuple(self.physics.decurling.arcs),
            guide_arcs=tuple(self.physics.guides.arcs),
        )

    def next_us(self, state: State) -> int | None:
        """When something comes next as things stand, or None."""
        coming = self._coming(state)
        return None if coming is None else math.ceil(coming.time_s * US_PER_S)

    def act(self, state: State) -> Edge | None:
        """What comes now: the edge, or None where the sequence does not have it."""
        coming = self._coming(state)
        assert coming is not None
        edge = edge_for(self.network, state, coming.intervention)
        if edge is None or coming.intervention.does is Does.FAIL:
            self.refused.add((len(self.physics.segments), coming.intervention.subject))
        if edge is not None and coming.intervention.does is Does.FAIL:
            self.broken_s = coming.time_s
        self.known = (None, None)
        return edge

    def _coming(self, state: State) -> _Coming | None:
        places = tuple(state.plant[roll.machine] for roll in self.physics.data.rolls if roll.machine is not None)
        moment = (len(self.physics.segments), self.physics.segments[-1], places)
        if self.known[0] != moment:
            self._consume()
            self._notice_replaced(state)
            self.known = (moment, min(self._all(state), key=lambda item: item.time_s, default=None))
        return self.known[1]

    def _all(self, state: State) -> Iterator[_Coming]:
        for number, roll in enumerate(self.physics.data.rolls):
            act = self._act_of(roll, state)
            if act and (len(self.physics.segments), roll.name) not in self.refused:
                level_m = self.low_m[number] if act == "runs_low" else 0.0
                time_s = self._falls_to_s(number, roll, level_m)
                if time_s < math.inf:
                    yield _Coming(
                        time_s, Intervention(time_us=0, does=Does.ACT, subject=roll.name, action=act)
                    )
        if self.breaking and self.broken_s is None:
            time_s = self._breaks_s()
            if time_s < math.inf:
                yield _Coming(time_s, Intervention(time_us=0, does=Does.FAIL, subject=self.breaking[0]))

    # -- rolls -----------------------------------------------------------------------------------------------

    def _label(self, roll: RollData, state: State) -> str:
        assert roll.machine is not None
        return self.network.machines[roll.machine].places[state.plant[roll.machine]].label

    def _act_of(self, roll: RollData, state: State) -> str | None:
        if roll.machine is None:
            return None
        label = self._label(roll, state)
        return {"plenty": "runs_low" if roll.low_m else "", "low": "runs_out"}.get(label)

    def _falls_to_s(self, number: int, roll: RollData, level_m: float) -> float:
        left = self.remaining_m[number] - level_m
        for segment, length_s in self.physics.ahead():
            if left <= 0:
                return segment.start_s
            after_s = time_to_go_s(
                left,
                speed_m_per_s=segment.speeds_m_per_s[roll.drive],
                acceleration_m_per_s2=segment.accelerations_m_per_s2[roll.drive],
            )
            if after_s <= length_s and after_s < math.inf:
                return segment.start_s + after_s
            left -= travelled_m(segment, roll.drive, length_s) if length_s < math.inf else 0.0
        return math.inf

    def _notice_replaced(self, state: State) -> None:
        for number, roll in enumerate(self.physics.data.rolls):
            if roll.machine is None:
                continue
            label = self._label(roll, state)
            if label == "plenty" and self.labels.get(number, "plenty") != "plenty":
                self.remaining_m[number] = left_m(roll, roll.outside_m)
                self.physics.decurling.rolls_m[number] = self.remaining_m[number]
                self.replacements.append(Replacement(time_s=self.physics.now_s, roll=number))
            self.labels[number] = label

    # -- what has passed -------------------------------------------------------------------------------------

    def _consume(self) -> None:
        """Count what has been unwound, and how the tensions have gone, up to the last segment."""
        segments = self.physics.segments
        passed = [
            (segment, after.start_s - segment.start_s)
            for segment, after in zip(segments[self.consumed : -1], segments[self.consumed + 1 :], strict=True)
        ]
        self.consumed = len(segments) - 1
        if self.physics.data.web is not None:
            *_, self.tensions = self._course([*passed, (segments[-1], 0.0)])
        for segment, length_s in passed:
            for number, roll in enumerate(self.physics.data.rolls):
                self.remaining_m[number] -= travelled_m(segment, roll.drive, length_s)

    def _course(self, parts: list[tuple[Segment, float]]) -> Iterator[Tensions]:
        start = None if self.tensions is None else (self.tensions.before_n, self.tensions.after_n)
        remaining_m = self.remaining_m[0] if self.remaining_m else None
        return tension_course(self.physics.data, parts, remaining_m=remaining_m, start=start)

    # -- breaking --------------------------------------------------------------------------------------------

    def _breaks_s(self) -> float:
        """When the tension in a span rises above what the web carries."""
        web = self.physics.data.web
        if web is None or web.most_n is None:
            return math.inf
        parts = list(self.physics.ahead())
        for (segment, length_s), tensions in zip(parts, self._course(parts), strict=True):
            after_s = min(self._exceeds_s(web, web.most_n, segment, tensions))
            if after_s <= length_s and after_s < math.inf:
                return segment.start_s + after_s
        return math.inf

    def _exceeds_s(
        self, web: WebData, most_n: float, segment: Segment, tensions: Tensions
    ) -> tuple[float, float]:
        store = self.physics.data.accumulator
        assert store is not None
        first, second = store.span_drives
        spans = (
            (first, tensions.before_n, tensions.enters_before_n),
            (second, tensions.after_n, tensions.enters_after_n),
        )
        before_s, after_s = (
            _rises_above_s(web, most_n, segment, drive, now_n, enters_n) for drive, now_n, enters_n in spans
        )
        return before_s, after_s


def _rises_above_s(
    web: WebData, most_n: float, segment: Segment, drive: int, now_n: float, enters_n: float
) -> float:
    if now_n > most_n:
        return 0.0
    if enters_n <= most_n:
        return math.inf
    travel_m = travel_to_tension_m(
        most_n, entry_tension_n=enters_n, tension_n=now_n, span_length_m=web.span_m
    )
    return time_to_go_s(
        travel_m,
        speed_m_per_s=segment.speeds_m_per_s[drive],
        acceleration_m_per_s2=segment.accelerations_m_per_s2[drive],
    )


def _between(lengths_m: tuple[float, float], physics: Physics) -> float:
    part = physics.draw(0, US_PER_S) / US_PER_S
    return lengths_m[0] + part * (lengths_m[1] - lengths_m[0])
