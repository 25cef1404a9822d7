"""The kernel's controller with a clock beside it, and what it shows: what an exported text must do too."""

from __future__ import annotations

from simulate.test_chart_machine import KernelController
from simulate.trial_files import concrete

from seqcheck.kernel.memory import TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence

Shown = dict[str, object]
"""What is compared after a scan: steps by chart, outputs, flags and alarms by name."""


class ReferenceController:
    """The kernel's controller, read by read, by names."""

    def __init__(self, sequence: Sequence) -> None:
        self.network: Network = concrete(sequence)
        self.kernel = KernelController(self.network)

    def restart(self, steps: dict[str, str]) -> None:
        """Power up in these steps, their times starting at 0, and nothing else remembered."""
        self.kernel = KernelController(self.network)
        memory = list(self.kernel.memory)
        for timer in self.network.controller.timers:
            memory[timer.cell] = 0
        for chart in self.network.controller.charts:
            number = chart.step_names.index(steps[chart.name])
            memory[chart.number] = number
            timed = [action.timer for action in chart.steps[number].actions if action.qualifier in ("L", "D", "DS")]
            for timer in (*chart.steps[number].timers, *(part for part in timed if part is not None)):
                memory[timer.cell] = TIMER_RUNNING
        self.kernel.memory = tuple(memory)
        self.kernel.since_us = dict.fromkeys(self.kernel.running(), 0)

    def read(self, now_us: int, seen: int) -> Shown:
        steps, outputs = self.kernel.read(now_us, seen)
        shown: Shown = {f"step of {chart}": step for chart, step in steps.items()}
        shown |= {name: name in outputs for name in self.network.output_names}
        cells = {part.name: part.cell for part in self.network.controller.variables if part.cell is not None}
        return shown | {name: bool(self.kernel.memory[cell]) for name, cell in cells.items()}

    @property
    def inputs(self) -> tuple[str, ...]:
        return self.network.signal_names
