"""What happens in one instant: devices follow their drives, one after the other, until none moves.

A quiet failure can make a move go otherwise; then the instant has more than one outcome, each a working copy of its own.
"""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.kernel.machine import DrivenMove, Instead, Machine, TimedMove
from seqcheck.kernel.network import Network
from seqcheck.kernel.part import Positions
from seqcheck.kernel.state import State

MOST_MOVES = 200
"""Driven moves in one instant. A machine makes a handful; more is a loop that stops time."""


class InstantLoopError(Exception):
    """Driven moves chase one another without end; time would stop. `devices` take part."""

    def __init__(self, devices: tuple[str, ...]) -> None:
        """Name the devices that were still moving."""
        super().__init__(f"devices move in a circle in one instant: {', '.join(devices)}")
        self.devices = devices


class Work:
    """The working copy of a state while an instant settles. Mutable; owned by the firing, gone after it."""

    __slots__ = (
        "again", "alive", "allowed", "budget", "computed", "faults", "memory", "moves", "plant", "raw", "scan",
        "seen", "signals", "stuck_off", "stuck_on", "written",
    )  # fmt: skip

    def __init__(
        self,
        network: Network,
        state: State,
        allowed: frozenset[int] = frozenset(),
        budget: int = 0,
        again: frozenset[int] = frozenset(),
    ) -> None:
        """Start from `state`; at most `budget` failures, of those `allowed`, may happen in the instant.

        Failures in `again` are intermittent ones that have happened before: they cost nothing more.
        """
        self.memory = state.memory
        self.computed = state.computed
        self.written = state.written
        self.scan = state.scan
        self.plant = list(state.plant)
        self.stuck_on = state.stuck_on
        self.stuck_off = state.stuck_off
        self.signals = state.signals
        self.seen = state.seen
        self.raw = raw_signals(network, state.positions)
        self.alive: set[int] = set()
        self.faults: tuple[int, ...] = ()
        self.allowed = allowed
        self.budget = budget
        self.again = again
        self.moves = 0

    def copy(self) -> Work:
        """Another working copy, equal so far."""
        twin = object.__new__(Work)
        for name in Work.__slots__:
            setattr(twin, name, getattr(self, name))
        twin.plant = list(self.plant)
        twin.alive = set(self.alive)
        return twin

    def fail(self, failure: int, stuck_on: int = 0, stuck_off: int = 0) -> None:
        """Take one failure from the budget."""
        self.faults = (*self.faults, failure)
        self.budget -= failure not in self.again
        self.stuck_on |= stuck_on
        self.stuck_off |= stuck_off
        self.refresh_signals()

    def place(self, machine: Machine, target: int) -> None:
        """Put the machine at position `target`; what was pending only before is no longer."""
        source = machine.places[self.plant[machine.index]]
        following = machine.places[target]
        self.plant[machine.index] = target
        if source.timed:
            staying = {move.pending.key for move in following.timed}
            self.alive -= {move.pending.key for move in source.timed} - staying
        if source.signals != following.signals:
            self.raw ^= source.signals ^ following.signals
            self.refresh_signals()

    def refresh_signals(self) -> None:
        """Contacts follow bodies and stuck contacts."""
        self.signals = (self.raw | self.stuck_on) & ~self.stuck_off

    def can_fail(self, failure: int) -> bool:
        """Whether this failure may still happen in this instant."""
        if failure in self.faults:
            return False
        return failure in self.again or (self.budget > 0 and failure in self.allowed)


def move_machine(network: Network, work: Work, machine: Machine, target: int, label: str) -> list[Work]:
    """Move a machine; the outcomes with a quiet failure come after the healthy one, which is `work` itself."""
    source = work.plant[machine.index]
    outcomes = [work]
    if network.options.late and (work.budget > 0 or work.again):
        for instead in _instead(network, machine, source, target, label):
            if work.can_fail(instead.failure) and not _already_stuck(work, instead):
                twin = work.copy()
                twin.fail(instead.failure, instead.stuck_on, instead.stuck_off)
                twin.place(machine, instead.target)
                outcomes.append(twin)
    work.place(machine, target)
    return outcomes


def due_move(machine: Machine, state: State, key: int) -> TimedMove:
    """The move that the pending event `key` of the machine stands for."""
    value = machine.drive_value(state)
    timed = machine.places[state.plant[machine.index]].timed
    return next(move for move in timed if move.pending.key == key and value & move.mask == move.value)


def _already_stuck(work: Work, instead: Instead) -> bool:
    return bool((instead.stuck_on | instead.stuck_off) & (work.stuck_on | work.stuck_off))


def _instead(
    network: Network, machine: Machine, source: int, target: int, label: str
) -> tuple[Instead, ...]:
    identity = (machine.index, source, target, label)
    known = network.memo.instead.get(identity)
    if known is None:
        known = machine.instead(source, target, label)
        network.memo.instead[identity] = known
    return known


def raw_signals(network: Network, positions: Positions) -> int:
    """What the contacts of sound bodies say."""
    known = network.memo.raw.get(positions)
    if known is None:
        known = 0
        for machine, position in zip(network.machines, positions.numbers, strict=True):
            known |= machine.places[position].signals
        network.memo.raw[positions] = known
    return known


def settle(network: Network, work: Work) -> Iterator[Work]:
    """Every outcome of the instant, the one without further failures first."""
    waiting = [work]
    while waiting:
        current = waiting.pop()
        due = _next_move(network, current)
        if due is None:
            yield current
            continue
        machine, move = due
        current.moves += 1
        if current.moves > MOST_MOVES:
            raise InstantLoopError((machine.name,))
        outcomes = move_machine(network, current, machine, move.target, move.label)
        waiting.extend(reversed(outcomes))


def _next_move(network: Network, work: Work) -> tuple[Machine, DrivenMove] | None:
    identity = (tuple(work.plant), work.written, work.signals & network.driving_signals)
    try:
        return network.memo.moves[identity]
    except KeyError:
        known = network.memo.moves[identity] = _find_next_move(network, work)
        return known


def _find_next_move(network: Network, work: Work) -> tuple[Machine, DrivenMove] | None:
    for machine in network.machines:
        driven = machine.places[work.plant[machine.index]].driven
        if not driven:
            continue
        value = machine.drive_value(work)
        for move in driven:
            if value & move.mask == move.value:
                return machine, move
    return None
