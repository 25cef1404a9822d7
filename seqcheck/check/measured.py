"""Figures as measures, and durations that mean something else (web left on a core, a position) as the figures they stand for."""

from __future__ import annotations

from collections.abc import Callable

from seqcheck.check.outcome import Measure
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.requirement import Figure, Spread


def figure_measure(figure: Figure, *, is_exact: bool) -> Measure:
    """A figure against its limit."""
    return Measure(
        quantity=figure.quantity,
        unit=figure.unit,
        worst=figure.worst,
        limit=figure.limit,
        is_exact=is_exact,
        is_least=figure.is_least,
    )


Together = tuple[tuple[int, bool], ...]


def measured(
    requirement: Requirement,
    sequence: Sequence,
    durations: tuple[tuple[Measure, ...], ...],
    is_of_one_run: Callable[[Together], bool],
) -> tuple[Measure, ...]:
    """What the durations of a requirement's monitors, in their order, stand for; the durations where they stand for themselves.

    `is_of_one_run`: whether a replayed run has all these ends of what monitors measured.
    """
    plain = tuple(measure for part in durations for measure in part)
    kind = REQUIREMENT_KINDS[requirement.kind]
    if kind.measured is None:
        return plain
    spreads = tuple(_spread(part[0]) if part else None for part in durations)
    is_exact = not kind.rests_on_figures and all(spread is None or spread.is_exact for spread in spreads)
    known: dict[Together, bool] = {(): is_exact}
    found = []
    for figure in kind.measured(requirement, sequence, spreads):
        if figure.together not in known:
            known[figure.together] = is_of_one_run(figure.together)
        found.append(figure_measure(figure, is_exact=known[figure.together]))
    return tuple(found) or plain


def _spread(measure: Measure) -> Spread:
    shortest = measure.worst if measure.best is None else measure.best
    return Spread(shortest_us=round(shortest), longest_us=round(measure.worst), is_exact=measure.is_exact)


def is_measured(measures: tuple[Measure, ...]) -> bool:
    """Whether durations have come to stand for something: no figure is a time."""
    return any(measure.unit != "us" for measure in measures)


def broken_by_bound(measures: tuple[Measure, ...]) -> str:
    """Why figures that no one run need attain leave a requirement undecided, or nothing if they keep their limits."""
    broken = [measure.quantity for measure in measures if measure.margin is not None and measure.margin < 0]
    return f"by bound: {', '.join(broken)}" if broken else ""
