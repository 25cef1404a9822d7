"""Changes of watchdogs: removed, or twice as long."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seqcheck.adequacy.change import Change, ChangeKind, OnceLate, Subject, with_step
from seqcheck.language.sequence import Chart, Sequence, Step, Watchdog
from seqcheck.quantities.time import format_time

STRETCHED = 2
"""How many times as long a stretched watchdog is. Chosen by us: enough to pass what it protects, short enough to explore."""


def watchdog_changes(sequence: Sequence) -> Iterator[Change]:
    """Each watchdog without, and with twice its limit."""
    for chart in sequence.charts:
        for step in chart.steps:
            if step.watchdog is not None:
                yield _changed(sequence, chart, step, step.watchdog, None)
                longer = replace(step.watchdog, limit_us=step.watchdog.limit_us * STRETCHED)
                yield _changed(sequence, chart, step, step.watchdog, longer)


def _changed(sequence: Sequence, chart: Chart, step: Step, before: Watchdog, after: Watchdog | None) -> Change:
    limit = format_time(before.limit_us)
    done = "removed" if after is None else f"stretched to {format_time(after.limit_us)}"
    ways = tuple(dict.fromkeys(way.target for way in chart.transitions_of(step)))
    return Change(
        kind=ChangeKind.REMOVE_WATCHDOG if after is None else ChangeKind.STRETCH_WATCHDOG,
        place=before.place,
        text=f"watchdog of {limit} in {chart.name}.{step.name} {done}",
        owner=chart.name,
        touched=OnceLate(chart.name, step.name),
        subject=Subject(
            chart=chart.name, source=ways, target=step.name, variable=before.alarm, time_us=before.limit_us
        ),
        sequence=with_step(sequence, chart, replace(step, watchdog=after)),
    )
