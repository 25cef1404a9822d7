"""A clock that runs from a failure: notes when an alarm comes, when the hazards end, and when web is drawn from the accumulator."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.kernel.event import Mark, Pending
from seqcheck.kernel.observer import StopwatchMonitor
from seqcheck.kernel.state import State, WatchState
from seqcheck.kernel.watch import Glance, Noticed, Remembering

RUNNING = 1
NOTICED = 2
"""Added once an alarm has come."""
OVER = 4
"""In place of RUNNING once the longest time looked at has passed."""

FIRST_ALARM, HAZARD_ENDS, DRAW_BEGINS, DRAW_ENDS = range(4)
"""Numbers of the records in which the times are noted."""

StateTest = Callable[[State], bool]


def clock_monitors(length_us: int, count: int) -> tuple[StopwatchMonitor, ...]:
    """What the records of a search want to know: the length of the age from which times are counted."""
    return tuple(
        StopwatchMonitor(requirement=f"time {number}", start=(), end=(), at_most_us=None, length_us=length_us)
        for number in range(count)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultClock(Remembering):
    """Begun by hand (`begun`) in the state in which a failure has just happened. `alarms` gives those that are on, as a mask."""

    alarms: Callable[[State], int]
    is_safe: StateTest
    is_drawing: StateTest
    age: Pending
    index: int = 0
    requirement: str = "failure"

    def start(self) -> WatchState:
        """Never started by itself."""
        return 0

    def begun(self, before: State, after: State) -> int:
        """The state of the clock right after the failure."""
        return RUNNING | (NOTICED if self._alarm_comes(before, after) else 0)

    def _alarm_comes(self, before: State, after: State) -> bool:
        return self.alarms(after) & ~self.alarms(before) != 0

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """Note what comes with this glance."""
        assert isinstance(state, int)
        if glance.over == self.age.key:
            return OVER | state & NOTICED, (), ()
        if not state & RUNNING or glance.before is None:
            return state, (), ()
        marks = [Mark(number, "ended", (self.age.key,)) for number in self._changes(state, glance.before, glance.after)]
        if self._alarm_comes(glance.before, glance.after):
            state |= NOTICED
        return state, tuple(marks), ()

    def _changes(self, state: int, before: State, after: State) -> list[int]:
        found = []
        if not state & NOTICED and self._alarm_comes(before, after):
            found.append(FIRST_ALARM)
        if before.positions is after.positions and before.written == after.written:
            return found
        if self.is_safe(after) and not self.is_safe(before):
            found.append(HAZARD_ENDS)
        if self.is_drawing(after) != self.is_drawing(before):
            found.append(DRAW_BEGINS if self.is_drawing(after) else DRAW_ENDS)
        return found

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """The age, while it runs."""
        assert isinstance(state, int)
        return (self.age,) if state & RUNNING else ()
