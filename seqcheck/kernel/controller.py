"""The controller: it reads all inputs at once, runs every chart in file order, and computes its outputs.

Charts see the steps that earlier charts have just taken, as program organisation units do. Flags and alarms change at the
end of the run, so conditions see them as of the last read, whatever the order of charts.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.action import ActionBlock
from seqcheck.kernel.chart import ChartBlock
from seqcheck.kernel.memory import TIMER_EXPIRED, TimerCell
from seqcheck.kernel.reading import Reading, ReadResult
from seqcheck.kernel.timer import Block, ReadTest


@dataclass(frozen=True, slots=True)
class WatchdogBlock:
    """When `timer` has expired in the active step, the alarm in `alarm` (a variable) is raised."""

    timer: TimerCell
    alarm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """What actions drive: an output (`output_bit` set) or a flag or an alarm (`cell` set, kept in memory).

    `clear` is given for alarms only: it stays until that holds and nothing raises it.
    """

    name: str
    output_bit: int = 0
    cell: int | None = None
    clear: ReadTest | None = None
    actions: tuple[ActionBlock, ...] = ()
    latch_cell: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """The controller program. `read` is pure; `_known` only remembers what it has already worked out."""

    charts: tuple[ChartBlock, ...]
    variables: tuple[Variable, ...]
    watchdogs: tuple[WatchdogBlock, ...]
    clear_blocks: tuple[Block, ...]
    timers: tuple[TimerCell, ...]
    initial_memory: tuple[int, ...]
    cell_labels: tuple[str, ...]
    retained_steps: tuple[tuple[int, ...], ...] = ()
    """For each chart the steps it may be found in at power-up."""
    retained_flags: tuple[tuple[str, tuple[int, ...]], ...] = ()
    """Flags that are kept without power, each with its cells."""
    _known: dict[tuple[tuple[int, ...], int], list[tuple[int, int, ReadResult]]] = field(default_factory=dict)

    def read(self, memory: tuple[int, ...], seen: int, written: int) -> ReadResult:
        """One run with inputs `seen` and outputs as last `written`."""
        known = self._known.setdefault((memory, written), [])
        for used, values, result in known:
            if seen & used == values:
                return result
        result = self._run(Reading(memory, seen, written))
        known.append((result.used, seen & result.used, result))
        return result

    def forget(self) -> None:
        """Let go of the runs worked out so far."""
        self._known.clear()

    def _run(self, reading: Reading) -> ReadResult:
        for chart in self.charts:
            chart.run(reading)
        for block in self.clear_blocks:
            block.run(reading)
        raised = {dog.alarm for dog in self.watchdogs if reading.before[dog.timer.cell] == TIMER_EXPIRED}
        driven = [
            self._drive(reading, variable) or index in raised for index, variable in enumerate(self.variables)
        ]
        # All are worked out before any is written: conditions see flags and alarms as of the last read.
        kept = [value or self._stays(reading, part) for part, value in zip(self.variables, driven, strict=True)]
        for variable, value in zip(self.variables, kept, strict=True):
            self._write(reading, variable, value)
        return reading.result()

    def _drive(self, reading: Reading, variable: Variable) -> bool:
        if any(block.qualifier == "R" and self._is_active(reading, block) for block in variable.actions):
            if variable.latch_cell is not None:
                reading.memory[variable.latch_cell] = 0
            for block in variable.actions:
                block.reset(reading)
            return False
        # Every action runs, though one that is on would do: each must store what it has to store.
        on = [
            block.drives(reading, self._is_active(reading, block))
            for block in variable.actions
            if block.qualifier != "R"
        ]
        return any(on)

    @staticmethod
    def _is_active(reading: Reading, block: ActionBlock) -> bool:
        return reading.memory[block.chart] == block.step

    @staticmethod
    def _stays(reading: Reading, variable: Variable) -> bool:
        """An alarm that nothing raises stays until it is cleared; nothing else stays by itself."""
        if variable.clear is None or variable.cell is None:
            return False
        return reading.before[variable.cell] != 0 and not variable.clear(reading)

    @staticmethod
    def _write(reading: Reading, variable: Variable, value: bool) -> None:
        if variable.cell is None:
            reading.computed |= variable.output_bit if value else 0
        else:
            reading.memory[variable.cell] = int(value)
