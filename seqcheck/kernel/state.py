"""A network state: everything about controller and machine but the passing of time."""

from __future__ import annotations

from typing import NamedTuple

from seqcheck.kernel.part import Control, Positions

IDLE = 0
"""Scan phase: no read is pending; the reads that do take place change nothing."""
AFTER_CHANGE = 1
"""Scan phase: the last read changed something, so the next comes one period later."""
ON_DEMAND = 2
"""Scan phase: reads were idle and one would now change something; it comes within the longest period."""

WatchState = int | tuple[int, ...]


class State(NamedTuple):
    """One network state. Bit masks are indexed by the network's signals and outputs.

    `signals` and `seen` follow from the other fields (they are kept because every condition reads them): `signals` is what the
    contacts say now, `seen` what a read would see, which lags behind where a signal has a delay.
    """

    control: Control
    """What the controller holds."""
    scan: int
    """IDLE, AFTER_CHANGE or ON_DEMAND."""
    positions: Positions
    """Where devices and circuits stand."""
    stuck_on: int
    """Signals whose contact is stuck on."""
    stuck_off: int
    """Signals whose contact is stuck off."""
    signals: int
    seen: int
    watch: tuple[WatchState, ...]
    """State of each monitor that remembers something."""

    @property
    def memory(self) -> tuple[int, ...]:
        """Cells of the controller: steps, timers, edges, latches, flags, alarms. Changes only at a read."""
        return self.control.memory

    @property
    def computed(self) -> int:
        """Outputs as computed by the last read."""
        return self.control.computed

    @property
    def written(self) -> int:
        """Outputs as last written: what the machine gets."""
        return self.control.written

    @property
    def plant(self) -> tuple[int, ...]:
        """Position of each device and circuit."""
        return self.positions.numbers
