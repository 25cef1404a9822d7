"""Inputs that lead a run deep into its charts: those that a way out of the active step asks for, while no common one is taken.

What the charts are is read from the sequence file; neither the kernel nor the exported text has a say in it.
"""

from __future__ import annotations

import random
from collections import Counter

from seqcheck.language.expression import And, EdgeCall, Expression, Name, Not, Or, TimerCall, Xor
from seqcheck.language.sequence import Chart, Transition

SEEK, FLIP, STAY = "seek", "flip", "stay"


class SeekingInputs:
    """The inputs of one run, scan by scan. `steps` must be kept up to date by whoever runs it."""

    def __init__(self, charts: tuple[Chart, ...], names: tuple[str, ...], steps: dict[str, str]) -> None:
        self.charts = charts
        self.names = names
        self.on: set[str] = set()
        self.steps = steps
        self.visits: Counter[tuple[str, str]] = Counter()

    def next(self, how: str, seed: int) -> set[str]:
        chooser = random.Random(seed)
        if how == FLIP and self.names:
            self.on ^= set(chooser.sample(self.names, min(len(self.names), chooser.randint(1, 3))))
        elif how == SEEK:
            self._seek(chooser)
        return set(self.on)

    def entered(self, steps: dict[str, str]) -> None:
        for chart, step in steps.items():
            if self.steps[chart] != step:
                self.visits[chart, step] += 1
        self.steps = steps

    def _seek(self, chooser: random.Random) -> None:
        chart = chooser.choice((*self.charts, *[max(self.charts, key=lambda chart: len(chart.steps))] * 3))
        for other in self.charts:
            for group in other.common:
                for way in group.transitions:
                    self._wish(way.condition, False, chooser)
        step = next(step for step in chart.steps if step.name == self.steps[chart.name])
        ways: tuple[Transition, ...] = step.transitions
        if ways:
            least = min(self.visits[chart.name, way.target] for way in ways)
            liked = [way for way in ways if self.visits[chart.name, way.target] == least]
            chosen = chooser.choice(ways if chooser.random() < 0.2 else liked)
            for way in ways[: ways.index(chosen)]:
                self._wish(way.condition, False, chooser)
            self._wish(chosen.condition, True, chooser)

    def _wish(self, part: Expression, value: bool, chooser: random.Random) -> None:
        match part:
            case Name(text=text) if text in self.names:
                self.on = self.on | {text} if value else self.on - {text}
            case Not(operand=operand):
                self._wish(operand, not value, chooser)
            case TimerCall(operand=operand):
                self._wish(operand, value, chooser)
            case EdgeCall(operand=operand):
                self._wish(operand, not value if chooser.random() < 0.5 else value, chooser)
            case And(operands=operands) | Or(operands=operands) | Xor(operands=operands):
                if value is isinstance(part, And):
                    for operand in operands:
                        self._wish(operand, value, chooser)
                else:
                    self._wish(chooser.choice(operands), value, chooser)
