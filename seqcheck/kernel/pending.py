"""Which events time will bring in a state, each with its earliest and latest time."""

from __future__ import annotations

from seqcheck.kernel.event import READ, WRITE, Pending
from seqcheck.kernel.memory import TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, State


def pending_events(network: Network, state: State) -> tuple[Pending, ...]:
    """All pending events of `state`, those of the scan first; each key at most once."""
    found: list[Pending] = []
    if state.scan != IDLE:
        shortest_us = network.shortest_period_us if state.scan == AFTER_CHANGE else 0
        found.append(Pending(READ, shortest_us, network.longest_period_us))
    if network.write is not None and state.computed != state.written:
        found.append(network.write)
    memory = state.memory
    for timer in network.controller.timers:
        if memory[timer.cell] == TIMER_RUNNING:
            found.append(Pending(timer.key, timer.length_us, timer.length_us))
    found.extend(_of_machines(network, state))
    late = state.signals ^ state.seen
    if late:
        found.extend(delay.pending for delay in network.delays if late & delay.bit)
    for watch, watch_state in zip(network.watches, state.watch, strict=True):
        found.extend(watch.pending(watch_state))
    return tuple(found)


def _of_machines(network: Network, state: State) -> list[Pending]:
    found: list[Pending] = []
    for machine, position in zip(network.machines, state.plant, strict=True):
        timed = machine.places[position].timed
        if not timed:
            continue
        value = machine.drive_value(state)
        due = (move.pending for move in timed if value & move.mask == move.value)
        found.extend(pending for pending in due if pending not in found)
    return found


def is_blocked(key: int, pending: tuple[Pending, ...]) -> bool:
    """A read waits for the write of the read before it, but lets no time pass beyond its own latest."""
    return key == READ and any(other.key == WRITE for other in pending)
