"""How long a chart stays in each step before each way out, at best and at worst, found by exploring every run without a failure.

Each pair of steps gets a stopwatch from the entry of the first to the entry of the second, abandoned by any other step. Stopwatches
of one chart share one exploration: only those of the active step run at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.check.explore_groups import explore_groups
from seqcheck.check.group import Group, Watching
from seqcheck.check.options import CheckOptions
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.summary import MonitorSummary
from seqcheck.language.expression import Expression, Name, Or
from seqcheck.language.sequence import Chart, Entry, Given, Hypothesis, Requirement, Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND

LONGEST_US = 3_600 * MICROSECONDS_PER_SECOND
"""A stay is measured up to an hour; what lasts longer waits for somebody."""
MOST_CLASSES = 100_000
"""Classes of one exploration: some seconds. What is not finished by then is drawn without times, and says so."""
ANYTHING = Given()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTime:
    """From entering `source` to entering `target`. `worst_us` None: as long as one likes (it waits for somebody)."""

    source: str
    target: str
    best_us: int
    worst_us: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTimes:
    """All ways that some run without a failure takes. `is_complete` False: a limit was reached, and times are only those found."""

    chart: str
    times: tuple[StepTime, ...]
    is_complete: bool
    given: str


def step_times(sequence: Sequence, chart: Chart, given: Given = ANYTHING) -> StepTimes:
    """The times of `chart`, people acting as `given` allows."""
    pairs = tuple(
        (step.name, target)
        for step in chart.steps
        for target in dict.fromkeys(way.target for way in chart.transitions_of(step))
        if target != step.name
    )
    requirements = tuple(_stopwatch(chart, source, target, given) for source, target in pairs)
    group = Group(
        index=0,
        hypothesis=Hypothesis(),
        given=given,
        start_anywhere=False,
        timed_from_fault=False,
        procedure=None,
        watching=tuple(Watching(requirement=part.id, number=0) for part in requirements),
    )
    watched = replace(sequence, requirements=requirements)
    options = CheckOptions(limits=Limits(classes=MOST_CLASSES), traps=False)
    exploration = explore_groups(watched, (group,), options).explorations[0]
    found = zip(pairs, exploration.summaries, strict=True)
    return StepTimes(
        chart=chart.name,
        times=tuple(time for pair, summary in found if (time := _time(pair, summary)) is not None),
        is_complete=exploration.stop is StopReason.FINISHED,
        given=given.text,
    )


def _time(pair: tuple[str, str], summary: MonitorSummary) -> StepTime | None:
    best, worst = summary.best, summary.worst
    if best is None or worst is None or best.value_us is None:
        return None
    is_open = summary.over is not None or worst.value_us is None or worst.value_us > LONGEST_US
    return StepTime(
        source=pair[0], target=pair[1], best_us=best.value_us, worst_us=None if is_open else worst.value_us
    )


def _stopwatch(chart: Chart, source: str, target: str, given: Given) -> Requirement:
    others = tuple(active(chart, step.name) for step in chart.steps if step.name not in (source, target))
    entries = [("between", active(chart, source)), ("and", active(chart, target))]
    if others:
        entries.append(("unless", others[0] if len(others) == 1 else Or(chart.place, others)))
    return Requirement(
        id=f"{source} to {target}",
        place=chart.place,
        kind="duration",
        text="",
        entries=(
            *(Entry(name=name, value=value, place=chart.place) for name, value in entries),
            Entry(name="at most", value=LONGEST_US, place=chart.place),
        ),
        given=given,
    )


def active(chart: Chart, step: str) -> Expression:
    """The condition that `step` of `chart` is active."""
    return Name(chart.place, f"{chart.name}.{step}.X")
