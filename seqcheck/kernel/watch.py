"""Monitors at work: each settled state is shown to them; they remember little and push nothing.

A watch has a state of its own (a number or a tuple of numbers, kept in `State.watch`), may have ages pending in it, and leaves
marks on an edge when it notices something.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from seqcheck.kernel.condition import Test
from seqcheck.kernel.event import Mark, Pending
from seqcheck.kernel.part import Control
from seqcheck.kernel.state import State, WatchState

IDLE = 0
RUNNING = 1
OVER = 2


class Glance(NamedTuple):
    """What a watch is shown: the states before and after a firing, what it entered, and whether it was a read.

    `before` is None at the start. `over` is the key of the age whose limit has just passed, or 0.
    """

    before: State | None
    after: State
    entered: tuple[tuple[int, int], ...]
    is_read: bool
    over: int


MomentTest = Callable[[Glance], bool]
Noticed = tuple[WatchState, tuple[Mark, ...], tuple[int, ...]]
"""State after, marks, ages that start anew."""


def becomes(test: Test) -> MomentTest:
    """The moment in which `test` comes to hold."""
    return lambda glance: test(glance.after) and (glance.before is None or not test(glance.before))


def enters(chart: int, step: int) -> MomentTest:
    """The moment in which `chart` enters `step`; at the start of the run, the initial step counts as entered."""
    pair = (chart, step)
    return lambda glance: pair in glance.entered or (glance.before is None and glance.after.memory[chart] == step)


class Watch(Protocol):
    """What the kernel needs of every monitor at work."""

    @property
    def index(self) -> int:
        """Its place among the network's watches."""

    @property
    def requirement(self) -> str:
        """The id of the requirement it watches for."""

    def start(self) -> WatchState:
        """Its state before the first glance."""

    @property
    def remembers(self) -> bool:
        """Whether its state can change. One that does not remember sees all in `sight`, but for what `look` says of reads."""

    @property
    def by_positions(self) -> bool:
        """Of one that remembers: whether only where devices stand matters, so that nothing is noticed while none moves."""

    @property
    def turned_on(self) -> int:
        """One that does not remember: the outputs that a read must turn on for `look` to notice anything; 0: it never does."""

    def sight(self, state: State) -> tuple[Mark, ...]:
        """What it notices in a settled state, however that came about."""

    def is_bad(self, state: State) -> bool:
        """Whether `sight` would say `bad` of the state; quicker, where the parts seen do not matter."""

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """The state after a glance, what it noticed in the change, and the keys of ages that start anew."""

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """The ages that count down in `state`."""


class Remembering:
    """What watches that remember have in common: a settled state alone tells them nothing."""

    __slots__ = ()

    @property
    def remembers(self) -> bool:
        """It does."""
        return True

    @property
    def by_positions(self) -> bool:
        """It looks at everything, unless it says otherwise."""
        return False

    @property
    def turned_on(self) -> int:
        """It looks at everything."""
        return 0

    def sight(self, state: State) -> tuple[Mark, ...]:
        """Nothing."""
        return ()

    def is_bad(self, state: State) -> bool:
        """Never."""
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class StateWatch:
    """Notices settled states where `bad` holds, and which `parts` of it are ever seen."""

    index: int
    requirement: str
    bad: Test
    parts: tuple[Test, ...]

    def start(self) -> WatchState:
        """Nothing to remember."""
        return IDLE

    @property
    def remembers(self) -> bool:
        """It does not."""
        return False

    def sight(self, state: State) -> tuple[Mark, ...]:
        """Mark bad states and seen parts."""
        marks = [Mark(self.index, "part", part=number) for number, part in enumerate(self.parts) if part(state)]
        if self.bad(state):
            marks.append(Mark(self.index, "bad"))
        return tuple(marks)

    def is_bad(self, state: State) -> bool:
        """Whether `bad` holds."""
        return self.bad(state)

    @property
    def by_positions(self) -> bool:
        """It remembers nothing."""
        return False

    @property
    def turned_on(self) -> int:
        """No read tells anything."""
        return 0

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """A change tells nothing more."""
        return state, (), ()

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """No ages."""
        return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadWatch:
    """Notices reads that turn `output_bit` on, and those that do so although `needs` does not hold.

    `parts` are the permissives one by one; part n is seen when the output is off and permissive n is false: it was tested.
    """

    index: int
    requirement: str
    output_bit: int
    needs: Test
    parts: tuple[Test, ...]

    def start(self) -> WatchState:
        """Nothing to remember."""
        return IDLE

    @property
    def remembers(self) -> bool:
        """It does not."""
        return False

    def sight(self, state: State) -> tuple[Mark, ...]:
        """Mark the permissives that are false while the output is off: they are tested."""
        if state.computed & self.output_bit:
            return ()
        return tuple(
            Mark(self.index, "part", part=number) for number, part in enumerate(self.parts) if not part(state)
        )

    def is_bad(self, state: State) -> bool:
        """Never by the state alone."""
        return False

    @property
    def by_positions(self) -> bool:
        """It remembers nothing."""
        return False

    @property
    def turned_on(self) -> int:
        """The outputs that a read must turn on for `look` to notice anything."""
        return self.output_bit

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """Mark the reads that compute the output anew."""
        before, after = glance.before, glance.after
        is_on = after.computed & self.output_bit
        if not is_on or not glance.is_read or (before is not None and before.computed & self.output_bit):
            return state, (), ()
        kind = "started" if self.needs(_as_read(before, after)) else "bad"
        return state, (Mark(self.index, kind),), ()

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """No ages."""
        return ()


def _as_read(before: State | None, after: State) -> State:
    """What a read saw: the inputs before its outputs acted, contacts that failed with it included, and the steps it took."""
    if before is None:
        return after
    failed_on = after.stuck_on & ~before.stuck_on
    failed_off = after.stuck_off & ~before.stuck_off
    return after._replace(
        control=Control(after.memory, after.computed, before.written),
        positions=before.positions,
        signals=(before.signals | failed_on) & ~failed_off,
        seen=(before.seen | failed_on) & ~failed_off,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StopwatchWatch(Remembering):
    """Measures from a start to an end with one age."""

    index: int
    requirement: str
    starts: tuple[MomentTest, ...]
    ends: tuple[MomentTest, ...]
    cancels: tuple[MomentTest, ...]
    age: Pending
    looks_at_facts: bool = False
    """Whether all its conditions are facts of devices."""
    _running: tuple[Pending, ...] = field(default=())

    def __post_init__(self) -> None:
        """Make the constant answer of `pending` once."""
        object.__setattr__(self, "_running", (self.age,))

    @property
    def by_positions(self) -> bool:
        """Where it looks at facts alone."""
        return self.looks_at_facts

    def start(self) -> WatchState:
        """Not running."""
        return IDLE

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """Start, end, abandon or overrun."""
        before = glance.before
        if self.looks_at_facts and before is not None and before.positions is glance.after.positions and not glance.over:
            return state, (), ()
        marks: list[Mark] = []
        if glance.over == self.age.key:
            state = OVER
            marks.append(Mark(self.index, "over"))
        fresh = False
        if state != IDLE and any(end(glance) for end in self.ends):
            if state == RUNNING:
                marks.append(Mark(self.index, "ended", (self.age.key,)))
            state = IDLE
            fresh = True
        elif state != IDLE and any(cancel(glance) for cancel in self.cancels):
            state = IDLE
            fresh = True
        if state == IDLE and self._starts(glance):
            marks.append(Mark(self.index, "started"))
            return RUNNING, tuple(marks), (self.age.key,) if fresh else ()
        return state, tuple(marks), ()

    def _starts(self, glance: Glance) -> bool:
        return any(start(glance) for start in self.starts) and not any(
            cancel(glance) for cancel in self.cancels
        )

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """The age, while it runs."""
        return self._running if state == RUNNING else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PrecedenceWatch(Remembering):
    """Notices a second thing that comes before a first one."""

    index: int
    requirement: str
    firsts: tuple[MomentTest, ...]
    seconds: tuple[MomentTest, ...]
    sinces: tuple[MomentTest, ...]

    def start(self) -> WatchState:
        """Nothing has come yet."""
        return IDLE

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """RUNNING means that the first thing has come."""
        if any(since(glance) for since in self.sinces):
            state = IDLE
        if any(first(glance) for first in self.firsts):
            state = RUNNING
        if any(second(glance) for second in self.seconds):
            return state, (Mark(self.index, "started" if state == RUNNING else "bad"),), ()
        return state, (), ()

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """No ages."""
        return ()
