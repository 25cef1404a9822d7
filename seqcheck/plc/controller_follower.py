"""Follows what the controller may hold through a recording: every order and time of its reads that the recording allows.

The picture: a set of programs that all have shown what was recorded so far. At each moment of the recording every one of them
goes on: timers run out, reads take place, inputs change, outputs are written. Those that cannot show what is recorded are dropped.
If none is left, the controller did something that the charts would not. Times are kept as ranges and joined, which can only
allow more: what is reported as a deviation is one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.kernel.reading import ReadResult
from seqcheck.plc.held import LONG_AGO_US, NEVER_US, Held, joined
from seqcheck.plc.moment import Moment, Recordable, Seen

MOST_HELD = 2_000
"""Different things that the controller may hold at one moment; beyond that the recording tells too little to follow."""
MOST_TOUCHED = 4
"""Inputs that change in one moment and are tried in every order; of more, one before or after all others."""
FORGET_AFTER = 200_000

Shown = tuple[int, tuple[int, ...]]
"""Recorded outputs, and recorded cells."""


class TooUncertainError(Exception):
    """There are too many things that the controller may hold."""


@dataclass(slots=True)
class ControllerFollower:
    """The set of what the controller may hold. Mutable; owned by one replay."""

    network: Network
    recordable: Recordable
    held: tuple[Held, ...] = ()
    now: Seen = field(default_factory=lambda: Seen(0, 0, ()))
    explored: tuple[Held, ...] = ()
    reads: int = 0

    def begin(self, starts: Iterable[Held], seen: Seen) -> None:
        """Start anew from these."""
        self.now = seen
        known: dict[object, Held] = {}
        for start in starts:
            if self.is_idle(start, self.result(start)) and not self.writes(start):
                start = start._replace(due_us=None)
            other = known.get(start.identity)
            known[start.identity] = start if other is None else joined(other, start)
        self.held = tuple(known.values())

    def take(self, moment: Moment) -> bool:
        """Go on to `moment`; False if nothing that may be held shows what is recorded (`held` is then as it was).

        `explored` has everything on the way. Raises TooUncertainError.
        """
        nodes = _Exploring(self, moment).run()
        self.explored = tuple(nodes)
        wanted = (moment.seen.outputs, moment.seen.cells)
        left = tuple(
            node
            for node in nodes
            if node.inputs == moment.seen.inputs
            and self.shown(node) == wanted
            and self.waits_until(node) >= moment.earliest_us
        )
        if not left:
            return False
        self.held, self.now = left, moment.seen
        return True

    def shown(self, held: Held) -> Shown:
        """What a recording would show."""
        memory = held.memory
        return held.written & self.recordable.outputs, tuple([memory[cell] for cell in self.recordable.cells])

    def waits_until(self, held: Held) -> int:
        """Until when it can go on without anything happening in the controller."""
        limit_us = NEVER_US if held.due_us is None else held.due_us
        if self.writes(held):
            limit_us = min(limit_us, held.read_hi_us + self.write_window()[1])
        for timer, (_, hi_us) in zip(self.network.controller.timers, held.timers, strict=True):
            if held.memory[timer.cell] == TIMER_RUNNING:
                limit_us = min(limit_us, hi_us + timer.length_us)
        return limit_us

    def writes(self, held: Held) -> bool:
        """Whether outputs wait to be written."""
        return self.network.write is not None and held.written != held.computed

    def write_window(self) -> tuple[int, int]:
        """From a read to its outputs."""
        write = self.network.write
        return (0, 0) if write is None else (write.earliest_us, write.latest_us or 0)

    def result(self, held: Held) -> ReadResult:
        """What a read would do now."""
        self.reads += 1
        if self.reads > FORGET_AFTER:
            self.reads = 0
            self.network.controller.forget()
        return self.network.controller.read(held.memory, held.inputs, held.written)

    def is_idle(self, held: Held, result: ReadResult) -> bool:
        """Whether a read with this result changes nothing."""
        return not result.entered and result.computed == held.computed and result.memory == held.memory


@dataclass(slots=True)
class _Exploring:
    """Everything that may happen up to one moment. Owned by `take`."""

    follower: ControllerFollower
    moment: Moment
    before: Seen = field(default_factory=lambda: Seen(0, 0, ()))
    nodes: dict[object, Held] = field(default_factory=dict)
    orders: frozenset[int] = frozenset()

    def run(self) -> list[Held]:
        self.before = self.follower.now
        self.orders = frozenset(input_orders(self.before.inputs, self.moment.seen.inputs, self.moment.touched))
        waiting = []
        for held in self.follower.held:
            self.nodes[held.identity] = held
            waiting.append(held.identity)
        steps = 0
        while waiting:
            identity = waiting.pop()
            steps += 1
            if len(self.nodes) > MOST_HELD or steps > 10 * MOST_HELD:
                raise TooUncertainError
            for following in self.followers_of(self.nodes[identity]):
                if self._is_new(following):
                    waiting.append(following.identity)
        return list(self.nodes.values())

    def _is_new(self, following: Held) -> bool:
        known = self.nodes.get(following.identity)
        if known is None:
            self.nodes[following.identity] = following
            return True
        both = joined(known, following)
        if both == known:
            return False
        self.nodes[following.identity] = both
        return True

    def followers_of(self, held: Held) -> Iterator[Held]:
        limit_us = min(self.follower.waits_until(held), self.moment.latest_us)
        yield from self._expired(held, limit_us)
        yield from self._written(held, limit_us)
        if not self.follower.writes(held):
            yield from self._read(held, limit_us)
        yield from self._inputs_changed(held, limit_us)

    def _expired(self, held: Held, limit_us: int) -> Iterator[Held]:
        for number, timer in enumerate(self.follower.network.controller.timers):
            if held.memory[timer.cell] != TIMER_RUNNING:
                continue
            lo_us = max(held.lo_us, held.timers[number][0] + timer.length_us)
            hi_us = min(held.timers[number][1] + timer.length_us, limit_us)
            if lo_us <= hi_us:
                memory = (*held.memory[: timer.cell], TIMER_EXPIRED, *held.memory[timer.cell + 1 :])
                timers = (*held.timers[:number], (0, 0), *held.timers[number + 1 :])
                yield self._after(held, held._replace(memory=memory, timers=timers), lo_us, hi_us)

    def _written(self, held: Held, limit_us: int) -> Iterator[Held]:
        if not self.follower.writes(held):
            return
        earliest_us, latest_us = self.follower.write_window()
        lo_us = max(held.lo_us, held.read_lo_us + earliest_us)
        yield from self._at(held, held._replace(written=held.computed), lo_us, min(held.read_hi_us + latest_us, limit_us))

    def _read(self, held: Held, limit_us: int) -> Iterator[Held]:
        result = self.follower.result(held)
        if self.follower.is_idle(held, result):
            return
        network = self.follower.network
        lo_us = max(held.lo_us, held.read_lo_us + network.shortest_period_us)
        if lo_us > limit_us:
            return
        written = result.computed if network.write is None else held.written
        after = held._replace(memory=result.memory, computed=result.computed, written=written)
        if self.follower.shown(after) != self.follower.shown(held):
            lo_us = max(lo_us, self.moment.earliest_us)
        if lo_us > limit_us:
            return
        timers = []
        for number, timer in enumerate(network.controller.timers):
            if result.memory[timer.cell] != TIMER_RUNNING:
                timers.append((0, 0))
            elif held.memory[timer.cell] == TIMER_RUNNING and timer.key not in result.restarted:
                timers.append(held.timers[number])
            else:
                timers.append((lo_us, limit_us))
        after = after._replace(timers=tuple(timers), read_lo_us=lo_us, read_hi_us=limit_us, due_us=None)
        yield self._after(held._replace(due_us=None), after, lo_us, limit_us)

    def _inputs_changed(self, held: Held, limit_us: int) -> Iterator[Held]:
        lo_us = max(held.lo_us, self.moment.earliest_us)
        if lo_us > limit_us:
            return
        final = self.moment.seen.inputs
        for inputs in self.orders:
            changed = inputs ^ held.inputs
            # An input that ends up changed does not go back in between, unless the recording shows that it did.
            back = changed & (inputs ^ final) & (self.before.inputs ^ final)
            if changed and not back:
                yield self._after(held, held._replace(inputs=inputs), lo_us, limit_us)

    def _at(self, held: Held, after: Held, lo_us: int, hi_us: int) -> Iterator[Held]:
        if self.follower.shown(after) != self.follower.shown(held):
            lo_us = max(lo_us, self.moment.earliest_us)
        if lo_us <= hi_us:
            yield self._after(held, after, lo_us, hi_us)

    def _after(self, held: Held, after: Held, lo_us: int, hi_us: int) -> Held:
        """`after`, which came about between these times. A read that was due stays so; one newly of use comes within a period."""
        follower = self.follower
        if follower.is_idle(after, follower.result(after)) and not follower.writes(after):
            due_us = None
        else:
            due_us = hi_us + follower.network.longest_period_us if held.due_us is None else held.due_us
        return after._replace(lo_us=lo_us, hi_us=hi_us, due_us=due_us)


def input_orders(before: int, after: int, touched: int) -> Iterator[int]:
    """The inputs that may be there on the way from `before` to `after` when those `touched` change in some order."""
    bits = [1 << bit for bit in range(touched.bit_length()) if touched >> bit & 1]
    if len(bits) <= MOST_TOUCHED:
        for number in range(1 << len(bits)):
            yield before ^ sum(bit for place, bit in enumerate(bits) if number >> place & 1)
        return
    yield from (before, after)
    for bit in bits:
        yield before ^ bit
        yield after ^ bit


def unknown_times(memory: tuple[int, ...], network: Network, until_us: int) -> tuple[tuple[int, int], ...]:
    """Since when timers run, if nothing is known but that they do."""
    return tuple(
        (LONG_AGO_US, until_us) if memory[timer.cell] == TIMER_RUNNING else (0, 0) for timer in network.controller.timers
    )
