"""Performance levels and times to dangerous failure against values in print and identities."""

import pytest

from seqcheck.safety.dangerous_failure import (
    average_coverage,
    operations_per_year,
    wear_out_years,
    years_from_b10d,
    years_in_row,
    years_of_two_channels,
)
from seqcheck.safety.performance_level import (
    Band,
    Category,
    Coverage,
    PerformanceLevel,
    achieved_level,
    band_of,
    coverage_of,
    failures_per_hour,
    level_in_row,
    level_of_rate,
)


def test_one_demand_in_twenty_seconds() -> None:
    """Installation guide C1100, p. 18: B10d 20e6, every 20 s all year: n_op 1 577 880, 126.75 y, counted as 100 y, high."""
    operations = operations_per_year(365.25, 24, 20)
    assert operations == pytest.approx(1_577_880)
    years = years_from_b10d(20e6, operations)
    assert years == pytest.approx(126.75, abs=0.01)
    achieved = achieved_level(Category.ONE, years, 0, 0)
    assert (achieved.credited_years, achieved.band) == (100, Band.HIGH)


@pytest.mark.parametrize(("operations", "years"), [(105_600, 9.47), (10_560, 94.7)])
def test_hundred_thousand_operations(operations: float, years: float) -> None:
    """Questions and answers of a valve maker: B10d 100 000; the page prints a wrong divisor beside the second."""
    assert years_from_b10d(100_000, operations) == pytest.approx(years, abs=0.01)
    assert wear_out_years(100_000, operations) == pytest.approx(years / 10, abs=0.01)


def test_bands() -> None:
    """ISO 13849-1 Tables 4 and 5 (read in a tutorial)."""
    assert [band_of(years) for years in (2.9, 3, 9.9, 10, 29.9, 30)] == [
        None, Band.LOW, Band.LOW, Band.MEDIUM, Band.MEDIUM, Band.HIGH,
    ]  # fmt: skip
    assert [coverage_of(ratio) for ratio in (0.59, 0.60, 0.89, 0.90, 0.98, 0.99)] == [
        Coverage.NONE, Coverage.LOW, Coverage.LOW, Coverage.MEDIUM, Coverage.MEDIUM, Coverage.HIGH,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("category", "coverage", "levels"),
    [
        (Category.B, 0.0, "ab-"),
        (Category.ONE, 0.0, "--c"),
        (Category.TWO, 0.6, "abc"),
        (Category.TWO, 0.9, "bcd"),
        (Category.THREE, 0.6, "bcd"),
        (Category.THREE, 0.9, "cdd"),
        (Category.THREE, 0.99, "cdd"),  # more coverage than the table has a column for
        (Category.FOUR, 0.99, "--e"),
    ],
)
def test_simplified_table(category: Category, coverage: float, levels: str) -> None:
    """ISO 13849-1 Table 7, from memory."""
    found = [achieved_level(category, years, coverage, 65).level for years in (5, 20, 60)]
    assert "".join(level.value if level else "-" for level in found) == levels


def test_two_channels_need_measures_against_common_causes() -> None:
    """ISO 13849-1 Annex F: 65 points."""
    assert achieved_level(Category.THREE, 60, 0.9, 65).level is PerformanceLevel.D
    short = achieved_level(Category.THREE, 60, 0.9, 64)
    assert short.level is None
    assert "65 points" in short.lacks


def test_what_is_lacking_is_said() -> None:
    assert "below 3 years" in achieved_level(Category.B, 2, 0, 0).lacks
    assert "does not go with none" in achieved_level(Category.THREE, 60, 0.5, 80).lacks
    assert "no level for high" in achieved_level(Category.B, 60, 0, 0).lacks


def test_symmetric_channel() -> None:
    """ISO 13849-1 Annex D (from memory): 3 and 100 years are 66 years (66.7 computed, the standard prints 66)."""
    assert years_of_two_channels(3, 100) == pytest.approx(66.7, abs=0.05)
    assert years_of_two_channels(50, 50) == pytest.approx(50)


def test_parts_in_a_row() -> None:
    """Parts count and weighted coverage (identities): two equal parts halve the time; equal coverage stays."""
    assert years_in_row([40, 40]) == pytest.approx(20)
    assert average_coverage([(10, 0.9), (100, 0.9)]) == pytest.approx(0.9)
    assert average_coverage([(10, 0.0), (90, 1.0)]) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("years", "per_hour", "level"), [(100, 1.14e-6, "c"), (30, 3.8e-6, "b"), (10, 1.14e-5, "a"), (3, 3.8e-5, "a")]
)
def test_rate_of_one_channel(years: float, per_hour: float, level: str) -> None:
    """PFHd = 1 / (8760 MTTFd), computed; agrees with ISO 13849-1 Annex K from memory."""
    assert failures_per_hour(years) == pytest.approx(per_hour, rel=0.01)
    found = level_of_rate(failures_per_hour(years))
    assert found is not None
    assert found.value == level


@pytest.mark.parametrize(
    ("per_hour", "level"),
    [(1e-4, None), (9.9e-5, "a"), (1e-5, "a"), (9e-6, "b"), (3e-6, "b"), (1e-6, "c"), (1e-7, "d"), (2.47e-8, "e")],
)
def test_level_of_a_rate(per_hour: float, level: str | None) -> None:
    """ISO 13849-1 Table 2 (from memory); 2.47e-8 is category 4 with 100 years and high coverage (from memory)."""
    found = level_of_rate(per_hour)
    assert (found.value if found else None) == level


def test_too_many_parts_of_the_least_level_cost_a_level() -> None:
    """ISO 13849-1 6.3 (from memory): three parts of d stay d, four are c; three of c are b; four of a reach nothing."""
    a, c, d, e = PerformanceLevel.A, PerformanceLevel.C, PerformanceLevel.D, PerformanceLevel.E
    assert level_in_row([d, d, e, d]) is d
    assert level_in_row([d, d, d, d]) is c
    assert level_in_row([c, e, c]) is c
    assert level_in_row([c, c, c]) is PerformanceLevel.B
    assert level_in_row([a, a, a, a]) is None


@pytest.mark.parametrize(
    "refused",
    [
        lambda: years_from_b10d(0, 1),
        lambda: operations_per_year(1, 0, 1),
        lambda: years_in_row([]),
        lambda: years_of_two_channels(1, 0),
        lambda: average_coverage([]),
        lambda: level_in_row([]),
        lambda: failures_per_hour(0),
    ],
)
def test_numbers_out_of_range_are_refused(refused: object) -> None:
    assert callable(refused)
    with pytest.raises(ValueError, match="expected"):
        refused()
