"""Gathers measured times in little memory: extremes, mean, and an even pick of the times themselves."""

from __future__ import annotations

from dataclasses import dataclass, field

MOST_SAMPLES = 256


@dataclass(slots=True)
class Measurement:
    """Times of one motion. Mutable: it grows by counting, not by keeping."""

    count: int = 0
    shortest_us: int = 0
    longest_us: int = 0
    surely_short_us: int = 0
    """The least upper bound: one was at most that long."""
    surely_long_us: int = 0
    """The greatest lower bound: one was at least that long."""
    sum_us: float = 0.0
    samples: list[int] = field(default_factory=list)
    stride: int = 1

    def add(self, least_us: int, most_us: int) -> None:
        """One more time, which was from `least_us` to `most_us`."""
        if self.count == 0:
            self.shortest_us, self.longest_us = least_us, most_us
            self.surely_short_us, self.surely_long_us = most_us, least_us
        self.shortest_us = min(self.shortest_us, least_us)
        self.longest_us = max(self.longest_us, most_us)
        self.surely_short_us = min(self.surely_short_us, most_us)
        self.surely_long_us = max(self.surely_long_us, least_us)
        middle_us = (least_us + most_us) // 2
        self.sum_us += middle_us
        if self.count % self.stride == 0:
            self.samples.append(middle_us)
        if len(self.samples) > MOST_SAMPLES:
            self.samples = self.samples[::2]
            self.stride *= 2
        self.count += 1

    def add_all(self, other: Measurement) -> None:
        """Everything that `other` has counted too."""
        if other.count == 0:
            return
        was_empty = self.count == 0
        if was_empty:
            self.shortest_us, self.surely_short_us = other.shortest_us, other.surely_short_us
        self.shortest_us = min(self.shortest_us, other.shortest_us)
        self.longest_us = max(self.longest_us, other.longest_us)
        self.surely_short_us = min(self.surely_short_us, other.surely_short_us)
        self.surely_long_us = max(self.surely_long_us, other.surely_long_us)
        self.sum_us += other.sum_us
        self.count += other.count
        self.samples = [*self.samples, *other.samples][-MOST_SAMPLES:]

    @property
    def mean_us(self) -> float:
        """The mean of all."""
        return self.sum_us / self.count if self.count else 0.0
