"""How a quantity is spread over many runs, and how close its worst value comes to the proven worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

PERCENTILES = (1, 5, 25, 50, 75, 95, 99)
BINS = 20
ROUNDING = 1e-9
"""Relative; a sample beyond the proven worst by less is the proven worst itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proven:
    """A worst value from the check. `is_exact` False: a bound, which no run need attain.

    `note` says what it is, or why there is none.
    """

    value: float | None
    is_exact: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bin:
    """How many values lie from `low` to below `high` (the last bin includes its end)."""

    low: float
    high: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Distribution:
    """The values of one quantity. `is_least`: the least value is the worst. `percentiles` are pairs of percent and value."""

    quantity: str
    unit: str
    count: int
    mean: float
    least: float
    greatest: float
    percentiles: tuple[tuple[int, float], ...]
    bins: tuple[Bin, ...]
    proven: Proven
    is_least: bool = False

    @property
    def worst(self) -> float:
        """The worst value of all runs."""
        return self.least if self.is_least else self.greatest

    @property
    def left(self) -> float | None:
        """How much is left from the worst sample to the proven worst; negative: beyond it. None: nothing is proven."""
        if self.proven.value is None:
            return None
        return self.worst - self.proven.value if self.is_least else self.proven.value - self.worst

    @property
    def is_beyond(self) -> bool:
        """Whether a sample is worse than what is proven to be the worst: a defect of the model or of this program."""
        left = self.left
        return left is not None and left < -ROUNDING * max(1.0, abs(self.worst))

    @property
    def closeness(self) -> float | None:
        """How far from the median to the proven worst the worst sample has come: 0 not at all, 1 all the way."""
        left = self.left
        if left is None:
            return None
        median = dict(self.percentiles)[50]
        whole = abs((self.proven.value or 0.0) - median)
        return 1.0 if whole == 0 else 1.0 - left / whole


def distribution(
    quantity: str, unit: str, values: Sequence[float], proven: Proven, *, is_least: bool = False
) -> Distribution | None:
    """The distribution of `values`; None if there are none."""
    if not values:
        return None
    ordered = sorted(values)
    return Distribution(
        quantity=quantity,
        unit=unit,
        count=len(ordered),
        mean=sum(ordered) / len(ordered),
        least=ordered[0],
        greatest=ordered[-1],
        percentiles=tuple((percent, _percentile(ordered, percent)) for percent in PERCENTILES),
        bins=_bins(ordered),
        proven=proven,
        is_least=is_least,
    )


def _percentile(ordered: Sequence[float], percent: int) -> float:
    """Linear between the two nearest values.

    Source: common practice (type 7 of the usual nine definitions; from memory).
    """
    place = (len(ordered) - 1) * percent / 100
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (ordered[high] - ordered[low]) * (place - low)


def _bins(ordered: Sequence[float]) -> tuple[Bin, ...]:
    low, width = ordered[0], (ordered[-1] - ordered[0]) / BINS
    if width <= 0:
        return (Bin(low, low, len(ordered)),)
    counts = [0] * BINS
    for value in ordered:
        counts[min(BINS - 1, int((value - low) / width))] += 1
    return tuple(Bin(low + width * place, low + width * (place + 1), count) for place, count in enumerate(counts))
