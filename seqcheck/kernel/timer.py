"""Timers and edges in conditions: TON, TOF, TP, RISING, FALLING.

All work on the *sampled* input: a timer starts at the read that first saw its input change, and a change shorter
than a scan can be missed. Expiry is an event of its own; the next read sees it.
Source: IEC 61131-3, standard function blocks (timing diagrams of TP, TON, TOF; R_TRIG, F_TRIG).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_HELD, TIMER_IDLE, TIMER_RUNNING, TimerCell
from seqcheck.kernel.reading import Reading

ReadTest = Callable[[Reading], bool]


class TimerBlock(NamedTuple):
    """A TON, TOF or TP: its input, its timer, and the cell that holds its output Q."""

    kind: str
    operand: ReadTest
    timer: TimerCell
    output_cell: int

    def run(self, reading: Reading) -> None:
        """Bring the block up to date with the inputs of this read."""
        state = reading.memory[self.timer.cell]
        value = self.operand(reading)
        following, output = _RULES[self.kind](state, value)
        if following == TIMER_RUNNING and state != TIMER_RUNNING:
            reading.start(self.timer)
        reading.memory[self.timer.cell] = following
        reading.memory[self.output_cell] = int(output)


def _on_delay(state: int, value: bool) -> tuple[int, bool]:
    if not value:
        return TIMER_IDLE, False
    if state == TIMER_EXPIRED:
        return TIMER_EXPIRED, True
    return TIMER_RUNNING, False


def _off_delay(state: int, value: bool) -> tuple[int, bool]:
    if value:
        return TIMER_HELD, True
    if state in (TIMER_HELD, TIMER_RUNNING):
        return TIMER_RUNNING, True
    return TIMER_IDLE, False


def _pulse(state: int, value: bool) -> tuple[int, bool]:
    if state == TIMER_RUNNING:
        return TIMER_RUNNING, True
    if state == TIMER_IDLE:
        return (TIMER_RUNNING, True) if value else (TIMER_IDLE, False)
    return (TIMER_HELD, False) if value else (TIMER_IDLE, False)


_RULES: dict[str, Callable[[int, bool], tuple[int, bool]]] = {"TON": _on_delay, "TOF": _off_delay, "TP": _pulse}


class EdgeBlock(NamedTuple):
    """A RISING or FALLING: its input, the cell with the last sample, and the cell that holds its output Q.

    At power-up a falling edge remembers "off", a rising edge "off" too: an input that is on from the start counts as
    rising at the first read, as R_TRIG does; no false falling edge appears.
    """

    kind: str
    operand: ReadTest
    sample_cell: int
    output_cell: int

    def run(self, reading: Reading) -> None:
        """Bring the block up to date with the inputs of this read."""
        was = reading.memory[self.sample_cell] != 0
        value = self.operand(reading)
        happened = (value and not was) if self.kind == "RISING" else (was and not value)
        reading.memory[self.sample_cell] = int(value)
        reading.memory[self.output_cell] = int(happened)


Block = TimerBlock | EdgeBlock
