"""The performance level of a safety function from its category, MTTFd, diagnostic coverage and measures against common causes.

Simplified: the level is taken from the table of bands (ISO 13849-1 Table 7, Figure 5, from memory), not from Annex K, whose finer
values can lie one level higher or lower at the edge of a band. Several parts in a row are judged by the table of combinations.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from seqcheck.safety.dangerous_failure import CAP_CATEGORY_4_YEARS, CAP_YEARS

HOURS_A_YEAR = 8760
LEAST_CCF = 65
"""Points against common cause failures that categories 2, 3 and 4 need. Source: ISO 13849-1 Annex F."""
SIMPLIFIED = "simplified: ISO 13849-1 Table 7 by bands (from memory), not Annex K; mission time 20 years"


class PerformanceLevel(Enum):
    """Performance levels, from the least to the best."""

    A = "a"
    B = "b"
    C = "c"
    D = "d"
    E = "e"

    @property
    def rank(self) -> int:
        """0 for a, 4 for e."""
        return "abcde".index(self.value)

    def reaches(self, required: PerformanceLevel) -> bool:
        """Whether this level is at least the required one."""
        return self.rank >= required.rank


class Category(Enum):
    """Designated architectures. Source: ISO 13849-1 6.2."""

    B = "B"
    ONE = "1"
    TWO = "2"
    THREE = "3"
    FOUR = "4"


class Band(Enum):
    """MTTFd of a channel. Source: ISO 13849-1 Table 4 (bands read in a maker's tutorial)."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


class Coverage(Enum):
    """Diagnostic coverage. Source: ISO 13849-1 Table 5."""

    NONE = "none"
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


_A, _B, _C, _D, _E = PerformanceLevel
_TABLE: dict[tuple[Category, Coverage], tuple[PerformanceLevel | None, ...]] = {
    (Category.B, Coverage.NONE): (_A, _B, None),
    (Category.ONE, Coverage.NONE): (None, None, _C),
    (Category.TWO, Coverage.LOW): (_A, _B, _C),
    (Category.TWO, Coverage.MEDIUM): (_B, _C, _D),
    (Category.THREE, Coverage.LOW): (_B, _C, _D),
    (Category.THREE, Coverage.MEDIUM): (_C, _D, _D),
    (Category.FOUR, Coverage.HIGH): (None, None, _E),
}
"""By low, medium and high MTTFd. Source: ISO 13849-1 Table 7 (from memory)."""

_PARTS_ALLOWED = {_A: 3, _B: 2, _C: 2, _D: 3, _E: 3}
"""How many parts of the least level a row may have before it falls one level. Source: ISO 13849-1 6.3, table (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Achieved:
    """What one part reaches: None with the reason `lacks`, or a level with its bands and credited MTTFd in years."""

    level: PerformanceLevel | None
    credited_years: float
    band: Band | None
    coverage: Coverage
    lacks: str = ""


def band_of(years: float) -> Band | None:
    """The band of an MTTFd; None below three years, which no category allows. Source: ISO 13849-1 Table 4."""
    if years < 3:
        return None
    return Band.LOW if years < 10 else Band.MEDIUM if years < 30 else Band.HIGH


def coverage_of(ratio: float) -> Coverage:
    """The band of a diagnostic coverage. Source: ISO 13849-1 Table 5: none below 60 %, low to 90, medium to 99, high."""
    if ratio < 0.60:
        return Coverage.NONE
    return Coverage.LOW if ratio < 0.90 else Coverage.MEDIUM if ratio < 0.99 else Coverage.HIGH


def achieved_level(category: Category, years: float, coverage_ratio: float, ccf_points: int) -> Achieved:
    """The performance level of one part with this MTTFd of a channel, coverage (ratio) and points against common causes.

    More coverage than the category has a column for counts as the best that it has.

    Source: ISO 13849-1 Table 7 (from memory); 65 points Annex F.
    """
    cap = CAP_CATEGORY_4_YEARS if category is Category.FOUR else CAP_YEARS
    credited, found = min(years, cap), coverage_of(coverage_ratio)
    band, coverage = band_of(credited), _counted_coverage(category, found)
    lacks = _lack(category, band, coverage, ccf_points)
    row = _TABLE.get((category, coverage))
    level = None if lacks or row is None or band is None else row[list(Band).index(band)]
    if level is None and not lacks:
        lacks = f"category {category.value} has no level for {band.value if band else 'too short'} MTTFd"
    return Achieved(level=level, credited_years=credited, band=band, coverage=found, lacks=lacks)


def _counted_coverage(category: Category, coverage: Coverage) -> Coverage:
    if category in (Category.B, Category.ONE):
        return Coverage.NONE
    if category in (Category.TWO, Category.THREE) and coverage is Coverage.HIGH:
        return Coverage.MEDIUM
    return coverage


def _lack(category: Category, band: Band | None, coverage: Coverage, ccf_points: int) -> str:
    if band is None:
        return "MTTFd is below 3 years"
    if category in (Category.TWO, Category.THREE, Category.FOUR) and ccf_points < LEAST_CCF:
        return f"category {category.value} needs {LEAST_CCF} points against common cause failures, has {ccf_points}"
    if (category, coverage) not in _TABLE:
        return f"category {category.value} does not go with {coverage.value} diagnostic coverage"
    return ""


def level_in_row(levels: Iterable[PerformanceLevel]) -> PerformanceLevel | None:
    """The level of parts of which each must work; None where even `a` is not reached.

    Raises ValueError for no part.

    Source: ISO 13849-1 6.3, table of combinations (from memory): the least level counts, one less where too many parts have it.
    """
    found = list(levels)
    if not found:
        raise ValueError("expected the level of one part or more")
    least = min(found, key=lambda level: level.rank)
    if found.count(least) <= _PARTS_ALLOWED[least]:
        return least
    return None if least is _A else list(PerformanceLevel)[least.rank - 1]


def failures_per_hour(years: float) -> float:
    """PFHd of one channel without diagnostics (categories B and 1): 1 / (8760 MTTFd).

    Raises ValueError unless positive.

    Source: identity of a constant failure rate; agrees with ISO 13849-1 Annex K (from memory).
    """
    if years <= 0:
        raise ValueError(f"expected a positive MTTFd, found {years} years")
    return 1 / (HOURS_A_YEAR * years)


def level_of_rate(per_hour: float) -> PerformanceLevel | None:
    """The level of a rate of dangerous failures an hour; None at 1e-4 and more.

    Better than 1e-8 counts as e. Source: ISO 13849-1 Table 2 (from memory).
    """
    if per_hour >= 1e-4:
        return None
    for level, least in ((_A, 1e-5), (_B, 3e-6), (_C, 1e-6), (_D, 1e-7)):
        if per_hour >= least:
            return level
    return _E
