"""A chart as the controller runs it: one active step, at most one transition a read, the first whose condition holds.

Source: IEC 61131-3, sequential function charts: in a selection divergence the transitions are tried in priority order.
"""

from __future__ import annotations

from typing import NamedTuple

from seqcheck.kernel.action import ActionBlock
from seqcheck.kernel.memory import TimerCell
from seqcheck.kernel.reading import Reading
from seqcheck.kernel.timer import Block, ReadTest


class TransitionBlock(NamedTuple):
    """A transition: its condition and the index of its target step."""

    condition: ReadTest
    target: int


class StepBlock(NamedTuple):
    """A step: its ways out in priority order, its actions, and the timers that start when it is entered."""

    transitions: tuple[TransitionBlock, ...]
    actions: tuple[ActionBlock, ...]
    timers: tuple[TimerCell, ...]


class ChartBlock(NamedTuple):
    """A chart. Its step cell has the chart's own number. `blocks` are the timers and edges in its conditions."""

    number: int
    name: str
    step_names: tuple[str, ...]
    steps: tuple[StepBlock, ...]
    blocks: tuple[Block, ...]

    def run(self, reading: Reading) -> None:
        """Run the chart once: blocks first, then at most one transition."""
        for block in self.blocks:
            block.run(reading)
        active = reading.memory[self.number]
        for transition in self.steps[active].transitions:
            if transition.condition(reading):
                self._move(reading, active, transition.target)
                return

    def _move(self, reading: Reading, source: int, target: int) -> None:
        for timer in self.steps[source].timers:
            if source != target:
                reading.stop(timer)
        for action in self.steps[source].actions:
            action.on_leave(reading)
        reading.memory[self.number] = target
        reading.entered.append((self.number, target))
        for timer in self.steps[target].timers:
            reading.start(timer)
        for action in self.steps[target].actions:
            action.on_enter(reading)
