"""Which events time will bring in a state, each with its earliest and latest time."""

from __future__ import annotations

from seqcheck.kernel.agenda import Agenda
from seqcheck.kernel.event import READ, WRITE, Pending
from seqcheck.kernel.memory import TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, State, WatchState


def pending_events(network: Network, state: State) -> tuple[Pending, ...]:
    """All pending events of `state`, those of the scan first; each key at most once."""
    return core_agenda(network, state).pending + ages_pending(network, state.watch)


def core_agenda(network: Network, state: State) -> Agenda:
    """The pending events of controller and machine."""
    timers = _of_timers(network, state)
    moves = _of_machines(network, state)
    late = state.signals ^ state.seen if network.delays else 0
    writes = network.write is not None and state.control.computed != state.control.written
    identity = (state.scan, writes, timers, moves, late)
    known = network.memo.agendas.get(identity)
    if known is None:
        arriving = tuple(delay.pending for delay in network.delays if late & delay.bit)
        found = _of_scan(network, state.scan, writes) + timers.pending + moves.pending + arriving
        known = network.memo.agendas[identity] = _the_one(network, found)
    return known


def with_ages(network: Network, agenda: Agenda, watch: tuple[WatchState, ...]) -> Agenda:
    """`agenda` with the ages that count down in the watches."""
    ages = ages_pending(network, watch)
    if not ages:
        return agenda
    known = network.memo.agendas.get((agenda, ages))
    if known is None:
        known = network.memo.agendas[agenda, ages] = _the_one(network, agenda.pending + ages)
    return known


def ages_pending(network: Network, watch: tuple[WatchState, ...]) -> tuple[Pending, ...]:
    """The ages that count down."""
    if not any(watch):
        return ()
    found: tuple[Pending, ...] = ()
    for part, state in zip(network.watches, watch, strict=True):
        if state:
            found += part.pending(state)
    return found


def _the_one(network: Network, pending: tuple[Pending, ...]) -> Agenda:
    """The network's agenda with these events; none has none."""
    known = network.memo.agendas.get(pending)
    if known is None:
        known = network.memo.agendas[pending] = Agenda(pending)
    return known


def _of_scan(network: Network, scan: int, writes: bool) -> tuple[Pending, ...]:
    found: tuple[Pending, ...] = ()
    if scan != IDLE:
        shortest_us = network.shortest_period_us if scan == AFTER_CHANGE else 0
        found = (Pending(READ, shortest_us, network.longest_period_us),)
    if writes and network.write is not None:
        found += (network.write,)
    return found


def _of_timers(network: Network, state: State) -> Agenda:
    known = network.memo.timers.get(state.control)
    if known is None:
        memory = state.memory
        running = tuple(
            Pending(timer.key, timer.length_us, timer.length_us)
            for timer in network.controller.timers
            if memory[timer.cell] == TIMER_RUNNING
        )
        known = network.memo.timers[state.control] = _the_one(network, running)
    return known


def _of_machines(network: Network, state: State) -> Agenda:
    identity = (state.positions, state.control.written, state.signals & network.driving_signals)
    known = network.memo.machine_agendas.get(identity)
    if known is None:
        known = network.memo.machine_agendas[identity] = _the_one(network, _find_of_machines(network, state))
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
