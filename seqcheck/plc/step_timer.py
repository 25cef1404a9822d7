"""The timers that run with a step: watchdogs, `step.T` in conditions, and timed actions that last with the step.

All start when their step is entered, also from itself, and are idle while it is not active. A condition may look at the time
of a step of another chart, so all conditions are gone through first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.language.expression import Expression, Name, StepTime, walk
from seqcheck.language.sequence import Action, Chart, Step
from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.identifier import identifier
from seqcheck.quantities.time import format_time_literal

WITH_STEP = ("L", "D", "DS")
"""Qualifiers whose time runs with the step; that of SD and SL runs on until a reset."""

LATE = "late"
REACHED = "T"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTimer:
    """A timer of a step. `purpose`: `late` (watchdog), `T` (a comparison with `step.T`) or an action qualifier.

    `variable`: what the action drives; `action`: its number in the step. Both mean something for actions only.
    """

    chart: str
    step: str
    purpose: str
    us: int
    variable: str = ""
    action: int = 0

    @property
    def words(self) -> str:
        """What a variable for it is called, before it is made unique."""
        step = identifier(self.step)
        if self.purpose == LATE:
            return f"{step}_late"
        if self.purpose == REACHED:
            return f"{step}_T_{_time_word(self.us)}"
        return f"{step}_{identifier(self.variable)}_{self.purpose}"


def step_timers(charts: ControllerCharts) -> tuple[StepTimer, ...]:
    """All of them, in the order of charts and steps: watchdog, step times by length, actions."""
    limits = {(time.step, time.limit_us) for _, time in _step_times(charts)}
    return tuple(
        timer for chart in charts.charts for step in chart.steps for timer in _of_step(chart, step, limits)
    )


def readers_of(charts: ControllerCharts, timer: StepTimer) -> tuple[int, ...]:
    """Which other charts look at a timer, by number; the number of charts stands for the conditions that clear alarms."""
    own = next(number for number, chart in enumerate(charts.charts) if chart.name == timer.chart)
    readers = {number for number, condition in conditions_of(charts) if _looks_at(condition, timer)}
    return tuple(sorted(readers - {own}))


def conditions_of(charts: ControllerCharts) -> Iterator[tuple[int, Expression]]:
    """Every condition with the number of its chart, or the number of charts where it clears an alarm."""
    for number, chart in enumerate(charts.charts):
        groups = [group.transitions for group in chart.common] + [step.transitions for step in chart.steps]
        yield from ((number, way.condition) for ways in groups for way in ways)
    yield from ((len(charts.charts), alarm.clear) for alarm in charts.alarms)


def _step_times(charts: ControllerCharts) -> Iterator[tuple[int, StepTime]]:
    for number, condition in conditions_of(charts):
        yield from ((number, part) for part in walk(condition) if isinstance(part, StepTime))


def _looks_at(condition: Expression, timer: StepTimer) -> bool:
    step = f"{timer.chart}.{timer.step}"
    for part in walk(condition):
        match part:
            case Name(text=text) if timer.purpose == LATE and text == f"{step}.late":
                return True
            case StepTime(step=name, limit_us=us) if timer.purpose == REACHED and (name, us) == (step, timer.us):
                return True
    return False


def _of_step(chart: Chart, step: Step, limits: set[tuple[str, int]]) -> Iterator[StepTimer]:
    if step.watchdog is not None:
        yield StepTimer(chart=chart.name, step=step.name, purpose=LATE, us=step.watchdog.limit_us)
    for us in sorted(us for name, us in limits if name == f"{chart.name}.{step.name}"):
        yield StepTimer(chart=chart.name, step=step.name, purpose=REACHED, us=us)
    for number, action in enumerate(step.actions):
        if action.qualifier in WITH_STEP:
            yield _of_action(chart, step, number, action)


def _of_action(chart: Chart, step: Step, number: int, action: Action) -> StepTimer:
    assert action.time_us is not None, "the reader asks for the time"
    return StepTimer(
        chart=chart.name,
        step=step.name,
        purpose=action.qualifier,
        us=action.time_us,
        variable=action.variable,
        action=number,
    )


def _time_word(us: int) -> str:
    return format_time_literal(us).removeprefix("T#")
