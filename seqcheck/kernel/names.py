"""What a name in a condition stands for in a network: a bit, a cell or a set of positions.

The controller sees inputs as its read sees them (`seen`); circuits, devices and requirements see contacts as they are
(`signals`), before any delay.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from seqcheck.kernel.condition import Test, View
from seqcheck.kernel.memory import TIMER_EXPIRED
from seqcheck.kernel.reading import Reading
from seqcheck.kernel.timer import ReadTest
from seqcheck.language.expression import Expression, Name

FactHolder = tuple[int, frozenset[int]]


@dataclass(slots=True)
class NameTable:
    """All names of a network; filled by the builder.

    A step flag is `chart.step.X`, a watchdog flag `chart.step.late`, a fact `device.fact`.
    """

    signals: dict[str, int] = field(default_factory=dict)
    outputs: dict[str, int] = field(default_factory=dict)
    cells: dict[str, int] = field(default_factory=dict)
    steps: dict[str, tuple[int, int]] = field(default_factory=dict)
    watchdogs: dict[str, int] = field(default_factory=dict)
    facts: dict[str, FactHolder] = field(default_factory=dict)

    def machine_test(self, expression: Expression) -> Test:
        """The test of a name as circuits, devices and requirements see it."""
        assert isinstance(expression, Name), f"reader let {expression} pass"
        name = expression.text
        if name in self.signals:
            return _signal_now(1 << self.signals[name])
        return self._other_test(name)

    def read_test(self, expression: Expression) -> Test:
        """The test of a name as a requirement on a read sees it: inputs as read."""
        assert isinstance(expression, Name), f"reader let {expression} pass"
        name = expression.text
        if name in self.signals:
            return _signal_seen(1 << self.signals[name])
        return self._other_test(name)

    def controller_test(self, name: str) -> ReadTest:
        """The test of a name in a chart; it notes that the run used the input."""
        if name in self.signals:
            return _input(1 << self.signals[name])
        if name in self.outputs:
            bit = 1 << self.outputs[name]
            return lambda reading: reading.written & bit != 0
        return self._memory_test(name)

    def _other_test(self, name: str) -> Test:
        if name in self.outputs:
            bit = 1 << self.outputs[name]
            return lambda view: view.written & bit != 0
        if name in self.facts:
            machine, holders = self.facts[name]
            return lambda view: view.plant[machine] in holders
        return self._memory_test(name)

    def _memory_test(self, name: str) -> Callable[[View | Reading], bool]:
        if name in self.steps:
            chart, step = self.steps[name]
            return lambda view: view.memory[chart] == step
        if name in self.watchdogs:
            timer = self.watchdogs[name]
            return lambda view: view.memory[timer] == TIMER_EXPIRED
        cell = self.cells[name]
        return lambda view: view.memory[cell] != 0


def _signal_now(bit: int) -> Test:
    return lambda view: view.signals & bit != 0


def _signal_seen(bit: int) -> Test:
    return lambda view: view.seen & bit != 0


def _input(bit: int) -> ReadTest:
    return lambda reading: reading.input(bit)
