"""A sequence as events and clocks, made from its file's text and its device types' data alone.

Nothing of the kernel or the explorer is called. The scan follows design.md section 3: after a read that changed anything
one more in [shortest, longest]; after one that changed nothing the next is on demand in [0, longest].
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from reference.tick_cells import EXPIRED, RUNNING, Memory
from reference.tick_controller import TickController
from reference.tick_machine import MOST_MOVES, Plant, TickMachine

from seqcheck.language.sequence import Sequence
from seqcheck.plant.behaviour import Failure
from seqcheck.quantities.time import TimeRange

IDLE, AFTER_CHANGE, ON_DEMAND = "idle", "after change", "on demand"
READ, WRITE = "read", "write"
Names = frozenset[str]


class Situation(NamedTuple):
    """A network state without clocks. `left` is the number of failures that may still happen."""

    memory: Memory
    computed: Names
    written: Names
    scan: str
    plant: Plant
    stuck_on: Names
    stuck_off: Names
    seen: Names
    left: int


class Edge(NamedTuple):
    """An event (None: one that may come at any time), the situation after it, and the clocks that go on."""

    fired: str | None
    after: Situation
    going_on: frozenset[str]


class InstantLoop(Exception):  # noqa: N818  - not a mistake of the caller
    """Driven moves without end in one instant."""


class Instant:
    """A situation while an instant lasts. Mutable; owned by one edge."""

    def __init__(self, model: TickModel, situation: Situation, alive: set[str]) -> None:
        """Start from a situation in which the clocks `alive` run."""
        self.model = model
        self.memory, self.computed, self.written, self.scan = situation[:4]
        self.plant = list(situation.plant)
        self.stuck_on, self.stuck_off = situation.stuck_on, situation.stuck_off
        self.seen, self.left = situation.seen, situation.left
        self.alive = alive

    @property
    def signals(self) -> Names:
        """The inputs as the contacts show them."""
        return (self.model.machine.raw_signals(self.plant) | self.stuck_on) - self.stuck_off

    def place(self, part: int, target: int) -> None:
        """Move one part; a timed move goes on only where the new position has one of the same name and range."""
        machine = self.model.machine
        before = self.model.timed_names(part, self.plant[part])
        self.plant[part] = target
        self.alive -= before - self.model.timed_names(part, target)
        assert machine.position(part, self.plant)

    def settled(self) -> Situation:
        """Devices follow their drives until none moves; then the scan notices whether it is wanted."""
        moves = 0
        while (due := self.model.machine.due(self)) is not None:
            moves += 1
            if moves > MOST_MOVES:
                raise InstantLoop
            self.place(*due)
        signals = self.signals
        delayed = frozenset(self.model.delays)
        seen = (signals - delayed) | (self.seen & delayed)
        scan = self.scan
        if scan == IDLE and self.model.would_change(self.memory, self.computed, seen, self.written):
            scan = ON_DEMAND
        return Situation(
            self.memory, self.computed, self.written, scan, tuple(self.plant), self.stuck_on, self.stuck_off,
            seen, self.left,
        )  # fmt: skip


@dataclass(slots=True)
class TickModel:
    """The sequence as events and clocks. `faults` failures may happen, each at any time."""

    sequence: Sequence
    faults: int
    controller: TickController = field(init=False)
    machine: TickMachine = field(init=False)
    delays: dict[str, TimeRange] = field(init=False)
    _known_pending: dict[Situation, dict[str, TimeRange]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make controller and machine."""
        self.controller = TickController(self.sequence)
        self.machine = TickMachine(self.sequence)
        self.delays = {
            wire.signal.name: wire.signal.delay
            for part in self.machine.parts
            for wire in part.wires
            if wire.signal.delay is not None
        }

    def start(self) -> Situation:
        """All devices at their initial positions, the first read still to come."""
        plant = tuple(self.machine.initial())
        nothing: Names = frozenset()
        bare = Situation(
            self.controller.start(), nothing, nothing, AFTER_CHANGE, plant, nothing, nothing, nothing, self.faults
        )
        instant = Instant(self, bare, set())
        settled = instant.settled()
        return settled._replace(seen=instant.signals)

    def would_change(self, memory: Memory, computed: Names, seen: Names, written: Names) -> bool:
        """Whether a read would alter memory, outputs or the time in a step."""
        scanned = self.controller.scan(memory, seen, written)
        return bool(scanned.entered) or scanned.memory != memory or scanned.computed != computed

    def timed_names(self, part: int, position: int) -> set[str]:
        """Clocks of the timed moves of a position, whether their drives let them run or not."""
        behaviour = self.machine.parts[part]
        return {
            f"{behaviour.device} {move.name} {move.after}"
            for move in behaviour.positions[position].moves
            if move.after is not None
        }

    # -- what is pending ---------------------------------------------------------------------------------------

    def pending(self, situation: Situation) -> dict[str, TimeRange]:
        """The clocks of a situation, each with its earliest and latest time."""
        if situation not in self._known_pending:
            self._known_pending[situation] = self._pending(situation)
        return self._known_pending[situation]

    def _pending(self, situation: Situation) -> dict[str, TimeRange]:
        found: dict[str, TimeRange] = {}
        scan = self.sequence.scan
        if situation.scan == AFTER_CHANGE:
            found[READ] = scan.period
        elif situation.scan == ON_DEMAND:
            found[READ] = TimeRange(0, scan.period.latest_us)
        if situation.computed != situation.written and scan.write.latest_us != 0:
            found[WRITE] = scan.write
        memory = dict(zip(self.controller.names, situation.memory, strict=True))
        for timer, length_us in self.controller.lengths_us.items():
            if memory[timer] == RUNNING:
                found[timer] = TimeRange(length_us, length_us)
        found.update((clock, after) for clock, after, _, _ in self._timed(situation))
        instant = Instant(self, situation, set())
        for name in (instant.signals ^ situation.seen) & self.delays.keys():
            found[f"delay {name}"] = self.delays[name]
        return found

    def _timed(self, situation: Situation) -> Iterator[tuple[str, TimeRange, int, int]]:
        """Timed moves that the drives let run: clock, range, part and target."""
        view = Instant(self, situation, set())
        for number, part in enumerate(self.machine.parts):
            position = self.machine.position(number, situation.plant)
            for move in position.moves:
                if move.after is not None and self.machine.is_free(number, move, view):
                    target = self.machine.numbers[number, move.to, position.mode]
                    yield f"{part.device} {move.name} {move.after}", move.after, number, target

    # -- what may happen ---------------------------------------------------------------------------------------

    def edges(self, situation: Situation) -> Iterator[Edge]:
        """Everything that can happen next, whatever the clocks say."""
        clocks = self.pending(situation)
        if READ in clocks and WRITE not in clocks:
            yield self._read(situation, clocks)
        if WRITE in clocks:
            instant = self._instant(situation, clocks, WRITE)
            instant.written = instant.computed
            yield self._edge(WRITE, instant)
        for timer in self.controller.lengths_us.keys() & clocks.keys():
            yield self._expiry(situation, clocks, timer)
        for clock, _, part, target in self._timed(situation):
            instant = self._instant(situation, clocks, clock)
            instant.place(part, target)
            yield self._edge(clock, instant)
        for name in self.delays:
            if f"delay {name}" in clocks:
                instant = self._instant(situation, clocks, f"delay {name}")
                instant.seen ^= {name}
                yield self._edge(f"delay {name}", instant)
        yield from self._acts(situation, clocks)
        if situation.left:
            yield from self._failures(situation, clocks)

    def _instant(self, situation: Situation, clocks: dict[str, TimeRange], fired: str | None) -> Instant:
        return Instant(self, situation, clocks.keys() - {fired})

    def _edge(self, fired: str | None, instant: Instant) -> Edge:
        after = instant.settled()
        return Edge(fired, after, frozenset(instant.alive & self.pending(after).keys()))

    def _read(self, situation: Situation, clocks: dict[str, TimeRange]) -> Edge:
        instant = self._instant(situation, clocks, READ)
        scanned = self.controller.scan(situation.memory, situation.seen, situation.written)
        changed = self.would_change(situation.memory, situation.computed, situation.seen, situation.written)
        instant.memory, instant.computed = scanned.memory, scanned.computed
        instant.alive -= scanned.started
        instant.scan = AFTER_CHANGE if changed else IDLE
        if self.sequence.scan.write.latest_us == 0:
            instant.written = instant.computed
        return self._edge(READ, instant)

    def _expiry(self, situation: Situation, clocks: dict[str, TimeRange], timer: str) -> Edge:
        instant = self._instant(situation, clocks, timer)
        cell = self.controller.names.index(timer)
        instant.memory = (*instant.memory[:cell], EXPIRED, *instant.memory[cell + 1 :])
        return self._edge(timer, instant)

    def _acts(self, situation: Situation, clocks: dict[str, TimeRange]) -> Iterator[Edge]:
        for number in range(len(self.machine.parts)):
            position = self.machine.position(number, situation.plant)
            for move in position.moves:
                instant = self._instant(situation, clocks, None)
                if move.act is not None and self.machine.is_free(number, move, instant):
                    instant.place(number, self.machine.numbers[number, move.to, position.mode])
                    yield self._edge(None, instant)

    def _failures(self, situation: Situation, clocks: dict[str, TimeRange]) -> Iterator[Edge]:
        for number, part in enumerate(self.machine.parts):
            for mode in self.machine.failures[part.device]:
                instant = self._instant(situation, clocks, None)
                instant.left -= 1
                if self._fails(instant, situation, number, mode):
                    yield self._edge(None, instant)

    def _fails(self, instant: Instant, situation: Situation, number: int, mode: Failure) -> bool:
        """Let a failure happen; False if it cannot."""
        if mode.contact is None:
            target = self.machine.failed_position(number, mode, situation.plant)
            if target is not None:
                instant.place(number, target)
            return target is not None
        names = {wire.role: wire.signal.name for wire in self.machine.parts[number].wires}
        contact = {names[mode.contact]}
        if mode.mode == "stuck_on":
            instant.stuck_on |= contact
        else:
            instant.stuck_off |= contact
        return not contact & (situation.stuck_on | situation.stuck_off)
