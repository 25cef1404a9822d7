"""The controller's memory: which cell holds what. Memory changes only at a read."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

TIMER_IDLE = 0
TIMER_RUNNING = 1
TIMER_EXPIRED = 2
TIMER_HELD = 3
"""A TOF whose input is still true, or a TP that waits for its input to fall."""


class TimerCell(NamedTuple):
    """A timer: its cell, the key of its pending event, its length, and how a person knows it."""

    cell: int
    key: int
    length_us: int
    label: str


@dataclass(slots=True)
class MemoryLayout:
    """Hands out cells and event keys while a network is built; owned by the builder, frozen in effect afterwards."""

    labels: list[str] = field(default_factory=list)
    initial: list[int] = field(default_factory=list)
    timers: list[TimerCell] = field(default_factory=list)
    next_key: int = 2

    def cell(self, label: str, initial: int = 0) -> int:
        """A new cell, named for people, with its value at power-up."""
        self.labels.append(label)
        self.initial.append(initial)
        return len(self.labels) - 1

    def key(self) -> int:
        """A new key for a pending event."""
        self.next_key += 1
        return self.next_key - 1

    def timer(self, length_us: int, label: str) -> TimerCell:
        """A new timer with a cell and a key of its own."""
        timer = TimerCell(self.cell(label), self.key(), length_us, label)
        self.timers.append(timer)
        return timer
