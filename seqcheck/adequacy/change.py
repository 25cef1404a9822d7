"""A change: the sequence with one place changed on purpose, and what the change can touch."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from seqcheck.errors import Place
from seqcheck.language.expression import Expression
from seqcheck.language.sequence import Chart, Sequence, Step, Transition


class ChangeKind(StrEnum):
    """What is done to a place."""

    DROP_TERM = "drop-term"
    NEGATE_TERM = "negate-term"
    SWAP_PRIORITY = "swap-priority"
    REMOVE_WATCHDOG = "remove-watchdog"
    STRETCH_WATCHDOG = "stretch-watchdog"
    DROP_RESET = "drop-reset"
    DROP_ACTION = "drop-action"
    EXTEND_ACTION = "extend-action"
    RETARGET = "retarget"
    WIDEN_RANGE = "widen-range"


@dataclass(frozen=True, slots=True)
class InSteps:
    """A run of the controller can go otherwise only if it begins with one of these steps of the chart active."""

    chart: str
    steps: frozenset[str]


@dataclass(frozen=True, slots=True)
class WhileAlarm:
    """Only while the alarm is on."""

    alarm: str


@dataclass(frozen=True, slots=True)
class OnceLate:
    """Only once the step's watchdog has expired."""

    chart: str
    step: str


@dataclass(frozen=True, slots=True)
class Anywhere:
    """Not in the controller: the machine itself moves otherwise."""


Touched = InSteps | WhileAlarm | OnceLate | Anywhere


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a change is about, for whoever looks for the requirement that would notice it.

    `source` and `target` are steps (`target` also the step that an action is in), `term` the part of a condition,
    `is_alternative`: the term opens the way by itself, rather than holding it shut.
    """

    chart: str = ""
    source: tuple[str, ...] = ()
    target: str = ""
    term: Expression | None = None
    is_alternative: bool = False
    variable: str = ""
    time_us: int = 0
    device: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One place of a sequence changed. `text` says what was done, `owner` whose part it is (chart, alarm, device, circuit).

    """

    kind: ChangeKind
    place: Place
    text: str
    owner: str
    touched: Touched
    subject: Subject
    sequence: Sequence


def with_chart(sequence: Sequence, chart: Chart) -> Sequence:
    """The sequence with the chart of the same name replaced."""
    charts = tuple(chart if other.name == chart.name else other for other in sequence.charts)
    return replace(sequence, charts=charts)


def with_step(sequence: Sequence, chart: Chart, step: Step) -> Sequence:
    """The sequence with the step of the same name in `chart` replaced."""
    steps = tuple(step if other.name == step.name else other for other in chart.steps)
    return with_chart(sequence, replace(chart, steps=steps))


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A transition with where it stands: of one step, or of every step but some (`group` of the chart's common ones)."""

    chart: Chart
    sources: tuple[str, ...]
    group: int | None
    number: int
    transition: Transition

    def changed(self, sequence: Sequence, transition: Transition) -> Sequence:
        """The sequence with this transition replaced."""
        ways = list(self.siblings)
        ways[self.number] = transition
        return self.reordered(sequence, tuple(ways))

    @property
    def siblings(self) -> tuple[Transition, ...]:
        """The transitions among which this one stands, in order of priority."""
        if self.group is not None:
            return self.chart.common[self.group].transitions
        return next(step for step in self.chart.steps if step.name == self.sources[0]).transitions

    def reordered(self, sequence: Sequence, ways: tuple[Transition, ...]) -> Sequence:
        """The sequence with these in place of the transitions among which this one stands."""
        if self.group is None:
            step = next(step for step in self.chart.steps if step.name == self.sources[0])
            return with_step(sequence, self.chart, replace(step, transitions=ways))
        common = list(self.chart.common)
        common[self.group] = replace(common[self.group], transitions=ways)
        return with_chart(sequence, replace(self.chart, common=tuple(common)))

    @property
    def text(self) -> str:
        """The way as a person names it."""
        source = self.sources[0] if self.group is None else "any step"
        return f"{self.chart.name}.{source} to {self.transition.target}"


def ways_of(sequence: Sequence) -> tuple[Way, ...]:
    """Every transition of the file, in its order: those of steps, then common ones, chart by chart."""
    found: list[Way] = []
    for chart in sequence.charts:
        for step in chart.steps:
            for number, way in enumerate(step.transitions):
                found.append(Way(chart=chart, sources=(step.name,), group=None, number=number, transition=way))
        for index, group in enumerate(chart.common):
            sources = tuple(step.name for step in chart.steps if step.name not in group.excepted)
            for number, way in enumerate(group.transitions):
                found.append(Way(chart=chart, sources=sources, group=index, number=number, transition=way))
    return tuple(found)
