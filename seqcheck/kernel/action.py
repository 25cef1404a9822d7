"""Actions of steps with the qualifiers of IEC 61131-3: N, R, S, L, D, P, SD, DS, SL.

Source: IEC 61131-3, action control of sequential function charts. An action that is reset is off, whatever else drives it.
P is on in the one scan whose read entered the step. There is no final scan: leaving a step ends its N, L and D actions in
the same read. At power-up the initial steps count as entered before the first read: their P actions do not pulse.
"""

from __future__ import annotations

from typing import NamedTuple

from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_IDLE, TIMER_RUNNING, TimerCell
from seqcheck.kernel.reading import Reading


class ActionBlock(NamedTuple):
    """One action of one step: what it drives (index into the variables), how, and for how long."""

    chart: int
    step: int
    variable: int
    qualifier: str
    timer: TimerCell | None
    latch_cell: int | None

    def on_enter(self, reading: Reading) -> None:
        """The step has just been entered: timed qualifiers start their time."""
        if self.timer is not None and self.qualifier in ("L", "D", "DS"):
            reading.start(self.timer)

    def on_leave(self, reading: Reading) -> None:
        """The step has just been left: what must last with the step is over; SD and SL go on."""
        if self.timer is not None and self.qualifier in ("L", "D", "DS"):
            reading.stop(self.timer)

    def reset(self, reading: Reading) -> None:
        """The action's variable is being reset: forget what was stored."""
        if self.timer is not None and self.qualifier in ("SD", "SL", "DS"):
            reading.stop(self.timer)

    def drives(self, reading: Reading, is_active: bool) -> bool:
        """Whether this action turns its variable on in this scan; stores what is to be stored."""
        if self.timer is not None and self.qualifier in ("SD", "SL"):
            self._set_off(reading, self.timer, is_active)
        expired = self.timer is not None and reading.memory[self.timer.cell] == TIMER_EXPIRED
        running = self.timer is not None and reading.memory[self.timer.cell] == TIMER_RUNNING
        match self.qualifier:
            case "N":
                return is_active
            case "L":
                return is_active and not expired
            case "D":
                return is_active and expired
            case "P":
                return is_active and reading.has_entered(self.chart, self.step)
            case "SL":
                return running
            case "S":
                return self._store(reading, is_active)
            case _:  # SD, DS
                return self._store(reading, expired)

    @staticmethod
    def _set_off(reading: Reading, timer: TimerCell, is_active: bool) -> None:
        """SD and SL run on from their first entry until a reset; an active step sets them off again after it."""
        if is_active and reading.memory[timer.cell] == TIMER_IDLE:
            reading.start(timer)

    def _store(self, reading: Reading, is_due: bool) -> bool:
        assert self.latch_cell is not None
        if is_due:
            reading.memory[self.latch_cell] = 1
        return reading.memory[self.latch_cell] != 0
