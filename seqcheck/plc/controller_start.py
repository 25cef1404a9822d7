"""What the controller may hold at the first moment of a recording: just powered up, or running for some time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from seqcheck.kernel.memory import TIMER_IDLE, TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.plc.controller_follower import unknown_times
from seqcheck.plc.held import LONG_AGO_US, Held
from seqcheck.plc.moment import Moment, Recordable

MOST_STARTS = 20_000
"""Combinations of unknown steps and alarms that are tried."""


def possible_starts(network: Network, recordable: Recordable, moment: Moment) -> Iterator[Held]:
    """Everything that shows what the recording shows at `moment`; none if nothing does."""
    if (cold := _cold(network, moment)) is not None and _shows(cold, recordable, moment):
        yield cold
    for memory in _memories(network, recordable, moment):
        for warm in _running(network, recordable, memory, moment):
            if _shows(warm, recordable, moment):
                yield warm


def _shows(held: Held, recordable: Recordable, moment: Moment) -> bool:
    cells = tuple(held.memory[cell] for cell in recordable.cells)
    return (held.written & recordable.outputs, cells) == (moment.seen.outputs, moment.seen.cells)


def _cold(network: Network, moment: Moment) -> Held | None:
    """Powered up at this moment: the first read comes within a period."""
    memory = network.controller.initial_memory
    since = (moment.earliest_us, moment.latest_us)
    timers = tuple(since if memory[timer.cell] == TIMER_RUNNING else (0, 0) for timer in network.controller.timers)
    return Held(
        memory, 0, 0, moment.seen.inputs, *since, *since, timers, moment.latest_us + network.longest_period_us
    )


def _running(network: Network, recordable: Recordable, memory: tuple[int, ...], moment: Moment) -> Iterator[Held]:
    """A controller that has already read these inputs, and one that is about to."""
    recorded = moment.seen.outputs
    result = network.controller.read(memory, moment.seen.inputs, recorded)
    written = recorded | (result.computed & ~recordable.outputs)
    yield _at_some_time(network, memory, written, written, moment)
    if not result.entered:
        computed = result.computed if network.write is None else written
        yield _at_some_time(network, result.memory, computed, result.computed, moment)


def _at_some_time(network: Network, memory: tuple[int, ...], written: int, computed: int, moment: Moment) -> Held:
    hi_us = moment.latest_us
    times = unknown_times(memory, network, hi_us)
    due_us = hi_us + network.longest_period_us
    return Held(memory, written, computed, moment.seen.inputs, LONG_AGO_US, hi_us, LONG_AGO_US, hi_us, times, due_us)


def _memories(network: Network, recordable: Recordable, moment: Moment) -> Iterator[tuple[int, ...]]:
    """Memories with the recorded steps, alarms and flags, and every combination of those not recorded."""
    controller = network.controller
    recorded = dict(zip(recordable.cells, moment.seen.cells, strict=True))
    charts = {chart.number: range(len(chart.steps)) for chart in controller.charts}
    kept = {part.cell: range(2) for part in controller.variables if part.cell is not None}
    stored = {part.latch_cell: range(2) for part in controller.variables if part.latch_cell is not None}
    open_cells = {cell: values for cell, values in (charts | kept | stored).items() if cell not in recorded}
    cells = tuple(open_cells)
    for count, values in enumerate(product(*open_cells.values())):
        if count >= MOST_STARTS:
            return
        yield _memory(network, recorded | dict(zip(cells, values, strict=True)))


def _memory(network: Network, cells: dict[int, int]) -> tuple[int, ...]:
    controller = network.controller
    memory = [0] * len(controller.initial_memory)
    for timer in controller.timers:
        memory[timer.cell] = TIMER_IDLE
    for cell, value in cells.items():
        memory[cell] = value
    for chart in controller.charts:
        block = chart.steps[memory[chart.number]]
        timed = [action.timer for action in block.actions if action.timer is not None]
        for timer in (*block.timers, *timed):
            memory[timer.cell] = TIMER_RUNNING
    return tuple(memory)
