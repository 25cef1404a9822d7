"""Order: no first thing before a second, counted since a moment (default: the last entry of the chart's initial step)."""

from __future__ import annotations

from seqcheck.kernel.condition import names_of
from seqcheck.kernel.observer import Enters, Moment, Monitor, PrecedenceMonitor
from seqcheck.language.expression import Expression
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import condition_in, moments_of, needed_condition
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    late, early = needed_condition(requirement, "no"), needed_condition(requirement, "before")
    since = condition_in(requirement, "since")
    return (
        PrecedenceMonitor(
            requirement=requirement.id,
            first=moments_of(early),
            second=moments_of(late),
            since=moments_of(since) if since is not None else (_new_cycle(sequence, late, early),),
        ),
    )


def _new_cycle(sequence: Sequence, *conditions: Expression) -> Moment:
    """Entry of the initial step of the first chart that the conditions name, else of the first chart."""
    named = [name.split(".")[0] for condition in conditions for name in names_of(condition)]
    chart = next((chart for chart in sequence.charts if chart.name in named), sequence.charts[0])
    return Enters(chart.name, chart.initial.name)


ORDER = RequirementKind(
    name="order",
    meaning="no one thing before another",
    fields=(
        Field(name="no", kind=FieldKind.CONDITION, meaning="what must not come first", required=True),
        Field(name="before", kind=FieldKind.CONDITION, meaning="what must have come by then", required=True),
        Field(name="since", kind=FieldKind.CONDITION, meaning="since when; default: the chart's initial step"),
    ),
    monitors=_monitors,
)
