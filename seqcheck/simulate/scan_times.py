"""The times of the controller's reads in one run, drawn in blocks: cheap to skip those that change nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import int64
    from numpy.typing import NDArray

Periods = Callable[[int], "NDArray[int64]"]
"""That many periods in microseconds, each time new ones."""
BLOCK = 8192
"""Periods drawn at once: about a minute of scans of 8 ms."""


class ScanTimes:
    """Reads at the running sum of periods after time 0. Mutable: more are drawn as needed.

    `delay_us` is how much later than drawn they come, because reads wait for outputs to be written.
    """

    def __init__(self, periods: Periods) -> None:
        """Draw the first block."""
        self._periods = periods
        self._times: NDArray[int64] = periods(BLOCK).cumsum()
        self.delay_us = 0

    def at(self, index: int) -> int:
        """When read number `index` (from 0) comes."""
        while index >= len(self._times):
            self._extend()
        return int(self._times[index]) + self.delay_us

    def first_from(self, time_us: int) -> int:
        """The number of the first read at `time_us` or later."""
        wanted_us = time_us - self.delay_us
        while self._times[-1] < wanted_us:
            self._extend()
        return int(self._times.searchsorted(wanted_us))

    def _extend(self) -> None:
        from numpy import concatenate

        more = self._periods(BLOCK).cumsum() + self._times[-1]
        self._times = concatenate((self._times, more))
