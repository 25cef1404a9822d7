"""Mean time to dangerous failure (MTTFd) of parts that wear, of parts in a row and of two unequal channels."""

from __future__ import annotations

from collections.abc import Iterable

CAP_YEARS = 100.0
"""The most that one channel may be credited with."""
CAP_CATEGORY_4_YEARS = 2500.0
"""The same in category 4, since the edition of 2015 (from memory)."""
SECONDS_AN_HOUR = 3600.0


def operations_per_year(days: float, hours_a_day: float, cycle_s: float) -> float:
    """Mean number of operations a year: n_op = d_op h_op 3600 / t_cycle.

    Raises ValueError unless all are positive.

    Source: ISO 13849-1 Annex C (formula; clause from memory).
    """
    if min(days, hours_a_day, cycle_s) <= 0:
        raise ValueError(f"expected positive numbers, found {days} days, {hours_a_day} h, {cycle_s} s")
    return days * hours_a_day * SECONDS_AN_HOUR / cycle_s


def years_from_b10d(b10d: float, operations: float) -> float:
    """MTTFd in years of a part of which 10 % have failed dangerously after `b10d` operations: B10d / (0.1 n_op).

    Raises ValueError unless both are positive.

    Source: ISO 13849-1 Annex C (formula; clause from memory).
    """
    if min(b10d, operations) <= 0:
        raise ValueError(f"expected positive numbers, found B10d {b10d}, {operations} operations a year")
    return b10d / (0.1 * operations)


def wear_out_years(b10d: float, operations: float) -> float:
    """T10d, after which such a part is to be replaced: B10d / n_op. Source: as `years_from_b10d`."""
    return years_from_b10d(b10d, operations) / 10


def years_in_row(parts: Iterable[float]) -> float:
    """MTTFd of parts of which each must work: 1/MTTFd = sum of 1/MTTFd_i.

    Raises ValueError for no part, or one that is not positive.

    Source: ISO 13849-1 Annex D, parts count (from memory).
    """
    years = list(parts)
    if not years or min(years) <= 0:
        raise ValueError(f"expected positive times of one part or more, found {years}")
    return 1 / sum(1 / part for part in years)


def years_of_two_channels(first: float, second: float) -> float:
    """MTTFd of one channel of a symmetric pair that stands for two unequal ones: 2/3 (A + B - 1/(1/A + 1/B)).

    Raises ValueError unless both are positive.

    Source: ISO 13849-1 Annex D (from memory).
    """
    if min(first, second) <= 0:
        raise ValueError(f"expected positive times, found {first} and {second} years")
    return 2 / 3 * (first + second - 1 / (1 / first + 1 / second))


def average_coverage(parts: Iterable[tuple[float, float]]) -> float:
    """Average diagnostic coverage (a ratio) of (MTTFd in years, coverage) pairs, weighted by how often each fails.

    Raises ValueError for no part, or a time that is not positive.

    Source: ISO 13849-1 Annex E (from memory).
    """
    pairs = list(parts)
    if not pairs or min(years for years, _ in pairs) <= 0:
        raise ValueError(f"expected positive times of one part or more, found {pairs}")
    return sum(coverage / years for years, coverage in pairs) / sum(1 / years for years, _ in pairs)
