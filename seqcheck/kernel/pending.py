"""Which events time will bring in a state, each with its earliest and latest time."""

from __future__ import annotations

from seqcheck.kernel.event import READ, WRITE, Pending
from seqcheck.kernel.memory import TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, State, WatchState


def pending_events(network: Network, state: State) -> tuple[Pending, ...]:
    """All pending events of `state`, those of the scan first; each key at most once."""
    return core_pending(network, state) + ages_pending(network, state.watch)


def core_pending(network: Network, state: State) -> tuple[Pending, ...]:
    """The pending events of controller and machine."""
    found = _of_scan(network, state) + _of_timers(network, state.memory) + _of_machines(network, state)
    late = state.signals ^ state.seen
    if late and network.delays:
        found += tuple(delay.pending for delay in network.delays if late & delay.bit)
    return found


def ages_pending(network: Network, watch: tuple[WatchState, ...]) -> tuple[Pending, ...]:
    """The ages that count down."""
    found: tuple[Pending, ...] = ()
    for part, state in zip(network.watches, watch, strict=True):
        if state:
            found += part.pending(state)
    return found


def _of_scan(network: Network, state: State) -> tuple[Pending, ...]:
    found: tuple[Pending, ...] = ()
    if state.scan != IDLE:
        shortest_us = network.shortest_period_us if state.scan == AFTER_CHANGE else 0
        found = (Pending(READ, shortest_us, network.longest_period_us),)
    if network.write is not None and state.computed != state.written:
        found += (network.write,)
    return found


def _of_timers(network: Network, memory: tuple[int, ...]) -> tuple[Pending, ...]:
    known = network.memo.timer_pending.get(memory)
    if known is None:
        known = tuple(
            Pending(timer.key, timer.length_us, timer.length_us)
            for timer in network.controller.timers
            if memory[timer.cell] == TIMER_RUNNING
        )
        network.memo.timer_pending[memory] = known
    return known


def _of_machines(network: Network, state: State) -> tuple[Pending, ...]:
    identity = (state.plant, state.written, state.signals & network.driving_signals)
    known = network.memo.machine_pending.get(identity)
    if known is None:
        known = _find_of_machines(network, state)
        network.memo.machine_pending[identity] = known
    return known


def _find_of_machines(network: Network, state: State) -> tuple[Pending, ...]:
    found: list[Pending] = []
    for machine, position in zip(network.machines, state.plant, strict=True):
        timed = machine.places[position].timed
        if not timed:
            continue
        value = machine.drive_value(state)
        due = (move.pending for move in timed if value & move.mask == move.value)
        found.extend(pending for pending in due if pending not in found)
    return tuple(found)


def is_blocked(key: int, pending: tuple[Pending, ...]) -> bool:
    """A read waits for the write of the read before it, but lets no time pass beyond its own latest."""
    return key == READ and any(other.key == WRITE for other in pending)
