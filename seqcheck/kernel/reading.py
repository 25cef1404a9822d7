"""The working copy of the controller while it runs once: read, compute.

It notes which inputs the run looked at (`used`), because the outcome cannot depend on any other: the explorer varies
only those, and equal runs are not run twice.
"""

from __future__ import annotations

from typing import NamedTuple

from seqcheck.kernel.memory import TIMER_IDLE, TIMER_RUNNING, TimerCell


class ReadResult(NamedTuple):
    """What one run of the whole controller does. `used` masks the inputs that decided it."""

    memory: tuple[int, ...]
    computed: int
    entered: tuple[tuple[int, int], ...]
    restarted: frozenset[int]
    used: int


class Reading:
    """One run of the controller; mutable, owned by `Controller.read`, gone afterwards."""

    __slots__ = ("before", "computed", "entered", "memory", "restarted", "seen", "used", "written")

    plant: tuple[int, ...] = ()
    signals: int = 0

    def __init__(self, memory: tuple[int, ...], seen: int, written: int) -> None:
        """Start from `memory` and the inputs `seen`, with outputs as last `written`."""
        self.before = memory
        self.memory = list(memory)
        self.seen = seen
        self.written = written
        self.computed = 0
        self.used = 0
        self.entered: list[tuple[int, int]] = []
        self.restarted: set[int] = set()

    def input(self, bit: int) -> bool:
        """The input masked by `bit`, noted as used."""
        self.used |= bit
        return self.seen & bit != 0

    def start(self, timer: TimerCell) -> None:
        """Start `timer` from its beginning, whether it runs or not."""
        if self.before[timer.cell] == TIMER_RUNNING:
            self.restarted.add(timer.key)
        self.memory[timer.cell] = TIMER_RUNNING

    def stop(self, timer: TimerCell) -> None:
        """Stop `timer` and forget what it had reached."""
        self.memory[timer.cell] = TIMER_IDLE

    def has_entered(self, chart: int, step: int) -> bool:
        """Whether this run entered the step."""
        return (chart, step) in self.entered

    def result(self) -> ReadResult:
        """What the run did."""
        return ReadResult(
            tuple(self.memory), self.computed, tuple(self.entered), frozenset(self.restarted), self.used
        )
