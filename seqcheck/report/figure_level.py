"""The performance level of a safety function: each declared part, then the row of them."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.language.safety_function import SafetyFunction
from seqcheck.reader.safety_functions import PARTS
from seqcheck.report.safety_figures import Figure, Judgement
from seqcheck.safety.dangerous_failure import wear_out_years, years_from_b10d
from seqcheck.safety.performance_level import (
    SIMPLIFIED,
    Achieved,
    Category,
    PerformanceLevel,
    achieved_level,
    level_in_row,
)

SOURCE = "ISO 13849-1:2015 Table 7, Annexes C and F (from memory)"
MISSION_YEARS = 20.0


def level_figures(function: SafetyFunction) -> Iterator[Figure]:
    """One figure a part, then the level of all parts against the one required."""
    achieved: list[tuple[str, Achieved]] = []
    for part in PARTS:
        if function.entry(f"{part}.category") is not None:
            found, figure = _part(function, part)
            achieved.append((part, found))
            yield figure
    yield _row(function, achieved)


def _part(function: SafetyFunction, part: str) -> tuple[Achieved, Figure]:
    category = Category(function.value(f"{part}.category", str) or "B")
    years, lines = _years(function, part)
    coverage = function.value(f"{part}.DC", float) or 0.0
    points = round(function.value(f"{part}.CCF", float) or 0)
    found = achieved_level(category, years, coverage, points)
    band = found.band.value if found.band else "too short"
    rated = f"category {category.value}, MTTFd {found.credited_years:.4g} years ({band}), "
    working = (*lines, f"{rated}DC {coverage:.0%} ({found.coverage.value}), CCF {points} points")
    figure = Figure(
        quantity=f"performance level of {part}",
        value=found.level.value if found.level else f"none: {found.lacks}",
        asked="",
        judgement=Judgement.STATED if found.level else Judgement.FAILS,
        working=working,
        source=SOURCE,
        caveat=SIMPLIFIED,
    )
    return found, figure


def _years(function: SafetyFunction, part: str) -> tuple[float, tuple[str, ...]]:
    stated = function.value(f"{part}.MTTFd", float)
    if stated is not None:
        return stated, (f"MTTFd {stated:.4g} years, as declared",)
    b10d, operations = function.value(f"{part}.B10d", float), function.value(f"{part}.operations", float)
    assert b10d is not None and operations is not None, "the reader asks for both"
    years = years_from_b10d(b10d, operations)
    lines = [f"MTTFd = B10d / (0.1 n_op) = {b10d:.6g} / (0.1 x {operations:.6g} a year) = {years:.4g} years"]
    worn = wear_out_years(b10d, operations)
    if worn < MISSION_YEARS:
        lines.append(f"to be replaced after {worn:.3g} years (T10d), before the mission time of 20 years")
    return years, tuple(lines)


def _row(function: SafetyFunction, achieved: list[tuple[str, Achieved]]) -> Figure:
    levels = [found.level for _, found in achieved if found.level is not None]
    level = level_in_row(levels) if len(levels) == len(achieved) else None
    required = function.value("required", str)
    meets = level is not None and (required is None or level.reaches(PerformanceLevel(required)))
    return Figure(
        quantity="performance level",
        value=level.value if level else "none",
        asked=f"PLr {required}" if required else "",
        judgement=Judgement.FAILS if not meets else Judgement.STATED if required is None else Judgement.MEETS,
        working=tuple(f"{part}: {found.level.value if found.level else 'none'}" for part, found in achieved),
        source="ISO 13849-1:2015 6.3, table of combinations (from memory)",
        caveat=SIMPLIFIED,
    )
