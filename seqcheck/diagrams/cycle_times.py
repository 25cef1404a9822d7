"""When each step of the nominal cycle is entered, at the earliest and at the latest, counted from the first step after the wait.

Found by exploring every run without a failure: one stopwatch for each later step, abandoned by any step that is not on the path.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.check.explore_groups import explore_groups
from seqcheck.check.group import Group, Watching
from seqcheck.check.options import CheckOptions
from seqcheck.diagrams.step_times import LONGEST_US, MOST_CLASSES, active
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.language.expression import Or
from seqcheck.language.sequence import Chart, Entry, Given, Hypothesis, Requirement, Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEntry:
    """Entry of `step`, at the earliest and latest after the begin of the cycle. `latest_us` None: whenever somebody acts."""

    step: str
    earliest_us: int
    latest_us: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleTimes:
    """The entries in the order of the path; the first one is at 0. `is_complete` as for StepTimes."""

    chart: str
    entries: tuple[StepEntry, ...]
    is_complete: bool


def cycle_times(sequence: Sequence, chart: Chart, path: tuple[str, ...]) -> CycleTimes:
    """When the steps of `path` are entered, counted from the entry of its first."""
    begin, *later = path
    requirements = tuple(_stopwatch(chart, path, begin, step) for step in later)
    group = Group(
        index=0,
        hypothesis=Hypothesis(),
        given=Given(),
        start_anywhere=False,
        timed_from_fault=False,
        procedure=None,
        watching=tuple(Watching(requirement=part.id, number=0) for part in requirements),
    )
    options = CheckOptions(limits=Limits(classes=MOST_CLASSES), traps=False)
    found = explore_groups(replace(sequence, requirements=requirements), (group,), options).explorations[0]
    entries = [StepEntry(step=begin, earliest_us=0, latest_us=0)]
    for step, summary in zip(later, found.summaries, strict=True):
        best, worst = summary.best, summary.worst
        if best is not None and worst is not None and best.value_us is not None:
            latest_us = None if summary.over is not None else worst.value_us
            entries.append(StepEntry(step=step, earliest_us=best.value_us, latest_us=latest_us))
    return CycleTimes(
        chart=chart.name, entries=tuple(entries), is_complete=found.stop is StopReason.FINISHED
    )


def _stopwatch(chart: Chart, path: tuple[str, ...], begin: str, step: str) -> Requirement:
    entries = [("between", active(chart, begin)), ("and", active(chart, step))]
    others = tuple(active(chart, part.name) for part in chart.steps if part.name not in path)
    if others:
        entries.append(("unless", others[0] if len(others) == 1 else Or(chart.place, others)))
    return Requirement(
        id=f"to {step}",
        place=chart.place,
        kind="duration",
        text="",
        entries=(
            *(Entry(name=name, value=value, place=chart.place) for name, value in entries),
            Entry(name="at most", value=LONGEST_US, place=chart.place),
        ),
        given=Given(),
    )
