"""Measured values as a person reads them: times in their usual units, web in metres with three decimals."""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.check.outcome import Measure
from seqcheck.quantities.time import format_time

NOTHING = "-"


def value_text(value: float | None, unit: str) -> str:
    """A value with its unit; times are rounded to whole microseconds."""
    if value is None:
        return NOTHING
    return format_time(round(value)) if unit == "us" else f"{value:.3f} {unit}"


def worst_text(measure: Measure) -> str:
    """The worst value. Beyond the limit a stopwatch stops counting, so one microsecond more means 'more than'."""
    if _is_cut(measure):
        text = f"more than {value_text(measure.limit, measure.unit)}"
    else:
        text = value_text(measure.worst, measure.unit)
    return text if measure.is_exact else f"{text} (by bound)"


def margin_text(measure: Measure) -> str:
    """What is left to the limit; 'none' where the stopwatch stopped counting."""
    return "none" if _is_cut(measure) else value_text(measure.margin, measure.unit)


def _is_cut(measure: Measure) -> bool:
    return measure.unit == "us" and measure.limit is not None and round(measure.worst) == round(measure.limit) + 1


def nearest_to_limit(measures: Iterable[Measure]) -> Measure | None:
    """The measure with the smallest margin, or the greatest where none has a limit."""
    return min(measures, key=_urgency, default=None)


def _urgency(measure: Measure) -> tuple[bool, float]:
    margin = measure.margin
    return (True, -measure.worst) if margin is None else (False, margin)
