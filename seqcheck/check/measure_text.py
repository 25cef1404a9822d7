"""Measured values as a person reads them: times in their usual units, web with three decimals in the units that are shown."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from seqcheck.check.outcome import Measure, RequirementOutcome
from seqcheck.quantities.time import format_time
from seqcheck.quantities.unit_system import shown_text
from seqcheck.requirements.verdict import Verdict

NOTHING = "-"


def value_text(value: float | None, unit: str) -> str:
    """A value with its unit; times are rounded to whole microseconds."""
    if value is None:
        return NOTHING
    return format_time(round(value)) if unit == "us" else shown_text(value, unit)


@dataclass(frozen=True, slots=True)
class MeasureText:
    """A measure as three cells: the value nearest to a limit, that limit, and what is left between them."""

    value: str
    limit: str
    margin: str


NO_MEASURE = MeasureText(NOTHING, NOTHING, NOTHING)


def measure_text(measure: Measure) -> MeasureText:
    """The worst value against its limit, or the best one where that is nearer to the least allowed."""
    if _least_margin(measure) < _most_margin(measure):
        return MeasureText(
            f"{value_text(measure.best, measure.unit)} at best",
            f"at least {value_text(measure.at_least, measure.unit)}",
            value_text(_least_margin(measure), measure.unit),
        )
    limit = value_text(measure.limit, measure.unit)
    if _is_cut(measure):
        return MeasureText(f"more than {limit}", limit, "none")
    return MeasureText(worst_text(measure), limit, value_text(measure.margin, measure.unit))


def nearest_text(judged: RequirementOutcome) -> MeasureText:
    """The measure with the smallest margin, or the greatest where none has a limit.

    A run that never ends has no measure, so a violation beyond every measured value is said to be one.
    """
    measure = min(judged.measures, key=_urgency, default=None)
    if measure is None:
        return NO_MEASURE
    text = measure_text(measure)
    if judged.verdict is Verdict.VIOLATED and measure.limit is not None and _margin(measure) >= 0:
        return MeasureText("over, see the run", text.limit, "none")
    return text


def worst_text(measure: Measure) -> str:
    """The worst value. Beyond the limit a stopwatch stops counting, so one microsecond more means 'more than'."""
    if _is_cut(measure):
        return f"more than {value_text(measure.limit, measure.unit)}"
    text = value_text(measure.worst, measure.unit)
    return text if measure.is_exact else f"{text} (by bound)"


def _is_cut(measure: Measure) -> bool:
    return (
        measure.unit == "us"
        and measure.limit is not None
        and round(measure.worst) == round(measure.limit) + 1
    )


def _most_margin(measure: Measure) -> float:
    return inf if measure.margin is None else measure.margin


def _least_margin(measure: Measure) -> float:
    return inf if measure.at_least is None or measure.best is None else measure.best - measure.at_least


def _margin(measure: Measure) -> float:
    return min(_most_margin(measure), _least_margin(measure))


def _urgency(measure: Measure) -> tuple[float, float]:
    return _margin(measure), -measure.worst
