"""Where a run starts: the normal start, or anywhere (power-up with devices and memory as they may be found)."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

from seqcheck.kernel.event import Mark
from seqcheck.kernel.memory import TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.kernel.settle import Work, settle
from seqcheck.kernel.settled import finished_state, watched
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, State
from seqcheck.kernel.watch import Glance


class Start(NamedTuple):
    """A state to start from, and what the monitors noticed in it."""

    state: State
    marks: tuple[Mark, ...]


def normal_start(network: Network) -> tuple[Start, ...]:
    """Every device in its initial position, the controller about to read for the first time."""
    plant = tuple(machine.initial for machine in network.machines)
    return tuple(_starts(network, network.controller.initial_memory, plant))


def starts_anywhere(network: Network, limit: int) -> tuple[tuple[Start, ...], bool]:
    """Every combination of rest positions, with memory cold or retained in any steps; at most `limit` of them.

    The second value is False if the limit cut some off.
    """
    found: dict[State, Start] = {}
    for memory, plant in product(_memories(network), _plants(network)):
        for start in _starts(network, memory, plant):
            found.setdefault(start.state, start)
        if len(found) >= limit:
            return tuple(found.values()), False
    return tuple(found.values()), True


def starts_with(
    network: Network, steps: tuple[int, ...] | None, plant: tuple[int, ...], flags: tuple[str, ...] = ()
) -> tuple[Start, ...]:
    """The starts with devices in these positions and memory retained in these steps (None: cold), these flags on."""
    cold = network.controller.initial_memory
    memory = cold if steps is None else _retained(network, steps, len(cold))
    return tuple(_starts(network, _with_flags(network, memory, flags), plant))


def _starts(network: Network, memory: tuple[int, ...], plant: tuple[int, ...]) -> Iterator[Start]:
    watch = tuple(watch.start() for watch in network.watches)
    raw = 0
    for machine, position in zip(network.machines, plant, strict=True):
        raw |= machine.places[position].signals
    scan = IDLE if network.options.controller_fault else AFTER_CHANGE
    bare = State(network.control(memory, 0, 0), scan, network.positions(plant), 0, 0, raw, raw, watch)
    for work in settle(network, Work(network, bare)):
        work.seen = work.signals
        state = finished_state(network, work, watch)
        state, marks, _ = watched(network, state, Glance(None, state, (), False, 0))
        yield Start(state, marks)


def _plants(network: Network) -> Iterator[tuple[int, ...]]:
    chosen = {choice.device for choice in network.chosen}
    places = [
        [machine.initial]
        if machine.name in chosen
        else [number for number, place in enumerate(machine.places) if place.is_rest and not place.mode]
        or [machine.initial]
        for machine in network.machines
    ]
    return product(*places)


def _memories(network: Network) -> Iterator[tuple[int, ...]]:
    cold = network.controller.initial_memory
    yield cold
    names = [name for name, _ in network.controller.retained_flags]
    for values in product((False, True), repeat=len(names)):
        flags = tuple(name for name, is_on in zip(names, values, strict=True) if is_on)
        for steps in product(*network.controller.retained_steps):
            yield _with_flags(network, _retained(network, steps, len(cold)), flags)


def _with_flags(network: Network, memory: tuple[int, ...], flags: tuple[str, ...]) -> tuple[int, ...]:
    """The memory with these retained flags on."""
    on = {cell for name, cells in network.controller.retained_flags if name in flags for cell in cells}
    return tuple(1 if cell in on else value for cell, value in enumerate(memory))


def _retained(network: Network, steps: tuple[int, ...], cells: int) -> tuple[int, ...]:
    """Memory with these steps active, their times starting anew, and nothing else remembered."""
    memory = [*steps, *([0] * (cells - len(steps)))]
    for chart, step in zip(network.controller.charts, steps, strict=True):
        block = chart.steps[step]
        timed = [action.timer for action in block.actions if action.timer is not None]
        for timer in (*block.timers, *timed):
            memory[timer.cell] = TIMER_RUNNING
    return tuple(memory)
