"""What the function block of a chart calls its variables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from seqcheck.language.sequence import Action, Chart, Step
from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.identifier import Identifiers, identifier
from seqcheck.plc.program import Variable
from seqcheck.plc.step_timer import LATE, REACHED, StepTimer, readers_of
from seqcheck.plc.value import Enumerator

ACTIVE_STEP = "active_step"
"""The variable of a chart that holds its step; STEP alone is a keyword of the standard."""

PLAIN = ("N", "L", "D", "P")
"""Qualifiers that drive while the step is active; the others store."""

STORED_WITH_TIME = ("SD", "DS", "SL")


class StoredAction(NamedTuple):
    """An action that stores with a time: its step and its number in it."""

    step: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartNames:
    """The names of one chart. Keys are names of the sequence file, values identifiers of the text.

    `driven`, `set_names`, `reset_names`: what the block wants of a variable; `raised`: an alarm, by a watchdog;
    `stored`: an action that stores with a time. `shown_timers`: timers that other charts look at. `shared`: the variables of the
    program. `comments`: of names that come in. `given`: inputs under another name; it grows while the block is made.
    """

    chart: str
    instance: str
    type_name: str
    steps_type: str
    identifiers: Identifiers
    is_asked_early: bool
    driven: dict[str, str]
    set_names: dict[str, str]
    reset_names: dict[str, str]
    raised: dict[str, str]
    stored: dict[StoredAction, str]
    stored_words: dict[StoredAction, str]
    timers: dict[StepTimer, str]
    shown_timers: dict[StepTimer, str]
    shared: dict[str, str]
    comments: dict[str, str]
    given: dict[str, str] = field(default_factory=dict)

    def enumerator(self, step: str) -> Enumerator:
        """The value of `step` while this step is active."""
        return Enumerator(type_name=self.steps_type, name=identifier(step))

    def input_name(self, name: str) -> str:
        """What a variable that comes in is called: by its own name, but where the block has a want of that name."""
        return self.name_from(name, f"{identifier(name)}_before") if name in self.driven else self.shared[name]

    def name_from(self, key: str, wanted: str) -> str:
        """What an input is called that is not called as in the program; the same at every call with `key`."""
        if key not in self.given:
            self.given[key] = self.identifiers.new(wanted)
        return self.given[key]

    def watchdog(self, step: str) -> StepTimer:
        """The watchdog of a step."""
        return next(timer for timer in self.timers if (timer.step, timer.purpose) == (step, LATE))

    def reached(self, step: str, us: int) -> StepTimer:
        """The timer for comparisons of `step.T` with `us`."""
        return next(timer for timer in self.timers if (timer.step, timer.purpose, timer.us) == (step, REACHED, us))

    def action_timer(self, step: str, number: int) -> StepTimer:
        """The timer of the action with this number."""
        return next(
            timer for timer in self.timers if timer.variable and (timer.step, timer.action) == (step, number)
        )

    def wants(self) -> tuple[Variable, ...]:
        """The outputs of the block through which it says what its chart wants."""
        return (
            *_bools(self.driven, lambda name: self.comments[name]),
            *_bools(self.set_names, lambda name: f"sets {name}"),
            *_bools(self.reset_names, lambda name: f"resets {name}"),
            *(
                Variable(name=name, type_name="BOOL", comment=self.stored_words[key])
                for key, name in self.stored.items()
            ),
            *_bools(self.raised, lambda name: f"a step is late: raises {name}"),
        )


def _bools(names: dict[str, str], words: Callable[[str], str]) -> tuple[Variable, ...]:
    return tuple(Variable(name=made, type_name="BOOL", comment=words(name)) for name, made in names.items())


def chart_names(
    charts: ControllerCharts, chart: Chart, timers: tuple[StepTimer, ...], types: Identifiers
) -> ChartNames:
    """The names of `chart`; `types` are the identifiers of the whole text."""
    own = tuple(timer for timer in timers if timer.chart == chart.name)
    readers = {timer: readers_of(charts, timer) for timer in own}
    number = charts.charts.index(chart)
    scope = Identifiers()
    scope.add((ACTIVE_STEP, "moved", "only_timers"))
    reserved = {name: scope.new(name) for name in charts.driven if name in _driven_by(chart, PLAIN)}
    scope.add(identifier(part.name) for part in charts.inputs)
    scope.add(identifier(name) for name in charts.driven)
    watched = {step.watchdog.alarm for step in chart.steps if step.watchdog is not None}
    stored = {StoredAction(step.name, at): (step, action) for step, at, action in _stored_with_time(chart)}
    return ChartNames(
        chart=chart.name,
        instance=identifier(chart.name),
        type_name=types.new(f"{identifier(chart.name)}_chart"),
        steps_type=types.new(f"{identifier(chart.name)}_steps"),
        identifiers=scope,
        is_asked_early=any(reader < number for found in readers.values() for reader in found),
        driven=reserved,
        set_names=_made(scope, "set_", charts, _driven_by(chart, ("S",))),
        reset_names=_made(scope, "reset_", charts, _driven_by(chart, ("R",))),
        raised=_made(scope, "raise_", charts, watched),
        stored={
            key: scope.new(f"{identifier(step.name)}_{identifier(action.variable)}_{action.qualifier}")
            for key, (step, action) in stored.items()
        },
        stored_words={
            key: f"{step.name}: {action.variable}, qualifier {action.qualifier}"
            for key, (step, action) in stored.items()
        },
        shown_timers={timer: scope.new(timer.words) for timer in own if readers[timer]},
        timers={timer: scope.new(f"{timer.words}_timer") for timer in own},
        shared={name: identifier(name) for name in _shared(charts)},
        comments=comments_of(charts),
    )


def comments_of(charts: ControllerCharts) -> dict[str, str]:
    """For each variable of the program, the comment that goes with it everywhere."""
    terminals = {part.name: part.comment for part in (*charts.inputs, *charts.outputs)}
    alarms = {alarm.name: f"alarm: {alarm.text}" for alarm in charts.alarms}
    return terminals | {flag.name: "flag" for flag in charts.flags} | alarms


def _shared(charts: ControllerCharts) -> tuple[str, ...]:
    return (*(part.name for part in charts.inputs), *charts.driven)


def _driven_by(chart: Chart, qualifiers: tuple[str, ...]) -> set[str]:
    actions = [action for step in chart.steps for action in step.actions]
    return {action.variable for action in actions if action.qualifier in qualifiers}


def _stored_with_time(chart: Chart) -> list[tuple[Step, int, Action]]:
    return [
        (step, number, action)
        for step in chart.steps
        for number, action in enumerate(step.actions)
        if action.qualifier in STORED_WITH_TIME
    ]


def _made(scope: Identifiers, prefix: str, charts: ControllerCharts, names: set[str]) -> dict[str, str]:
    return {name: scope.new(f"{prefix}{identifier(name)}") for name in charts.driven if name in names}
