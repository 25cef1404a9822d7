"""Times drawn evenly from their ranges, the same for the same seed and number of the run.

Both engines can be driven by it: each draw is asked for in the same order, and reads have draws of their own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from seqcheck.kernel.event import Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.simulate.scan_times import ScanTimes

if TYPE_CHECKING:
    from numpy import int64
    from numpy.random import Generator
    from numpy.typing import NDArray

BLOCK = 128
"""Draws at once."""


class Sampled:
    """A chooser for one run of many; nothing interferes but a script put around it. Mutable: it owns its random numbers."""

    def __init__(self, network: Network, seed: int, number: int) -> None:
        """Start the random numbers of run `number`."""
        from numpy.random import SFC64, Generator

        self._network = network
        self._times: Generator = Generator(SFC64((seed, number, 0)))
        self._reads: Generator = Generator(SFC64((seed, number, 1)))
        self._drawn: list[float] = []
        self._scans: ScanTimes | None = None
        self._read = 0

    def part(self) -> float:
        """A number from 0 to below 1."""
        if not self._drawn:
            self._drawn = self._times.random(BLOCK).tolist()
        return self._drawn.pop()

    def between(self, least: int, most: int) -> int:
        """A whole number from `least` to `most`, each as likely."""
        return least + int(self.part() * (most - least + 1))

    def due_us(self, earliest_us: int, latest_us: int | None) -> int | None:
        """Any time of the range; what nothing forces does not happen."""
        return None if latest_us is None else self.between(earliest_us, latest_us)

    def scans(self) -> ScanTimes:
        """The times of the reads."""
        return ScanTimes(self._periods)

    def _periods(self, count: int) -> NDArray[int64]:
        network = self._network
        # 32 bits are drawn in half the time of 64; periods are far below an hour.
        least_us, most_us = network.shortest_period_us, network.longest_period_us + 1
        return self._reads.integers(least_us, most_us, size=count, dtype="int32").astype("int64")

    def read_us(self, earliest_us: int, latest_us: int) -> int:
        """The next of the same times, one after the other."""
        del latest_us
        if self._scans is None:
            self._scans = self.scans()
        before_us = self._scans.at(self._read - 1) if self._read else 0
        period_us = self._scans.at(self._read) - before_us
        self._read += 1
        return earliest_us - self._network.shortest_period_us + period_us

    def allowed_failures(self, network: Network) -> frozenset[int]:
        """None."""
        del network
        return frozenset()

    def outcome(self, edges: tuple[Edge, ...]) -> Edge:
        """The healthy one."""
        return edges[0]

    def next_intervention_us(self) -> int | None:
        """Never."""
        return None

    def intervene(self, network: Network, state: State) -> tuple[Edge | None, str]:
        """Nothing."""
        del network, state
        return None, ""
