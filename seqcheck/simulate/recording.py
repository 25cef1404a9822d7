"""A run as a table of events: what happened when, and what it changed; as rows of data and as CSV text."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.event import WRITE, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.kernel.state import State
from seqcheck.simulate.curves import curves_at, sample_times_us
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.segment import S_PER_US

STEP_US = 100_000
"""Samples of curves between events are no further apart, unless told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the table: the steps entered, and what went on (`+name`) or off (`-name`).

    Outputs as written, with alarms among them; inputs as a read would see them. The first row has all that is active or on at the
    start.
    """

    time_us: int
    what: str
    steps: tuple[str, ...]
    outputs: tuple[str, ...]
    inputs: tuple[str, ...]


COLUMNS = ("time_us", "what", "steps", "outputs", "inputs")


def event_table(network: Network, schedule: Schedule) -> tuple[Row, ...]:
    """The rows of a run, the start first; idle reads change nothing and are left out."""
    return tuple(_rows(network, schedule))


def _rows(network: Network, schedule: Schedule) -> Iterator[Row]:
    state = schedule.start
    yield Row(
        time_us=0,
        what="start",
        steps=_active_steps(network, state),
        outputs=_changes(network.output_names, 0, state.written),
        inputs=_changes(network.signal_names, 0, state.seen),
    )
    for happening in schedule.happenings:
        target = happening.edge.target
        yield Row(
            time_us=happening.time_us,
            what=what_happens(happening.edge),
            steps=tuple(_step(network, chart, step) for chart, step in happening.edge.entered),
            outputs=_changes(network.output_names, state.written, target.written)
            + _alarm_changes(network, state, target),
            inputs=_changes(network.signal_names, state.seen, target.seen),
        )
        state = target


def what_happens(edge: Edge) -> str:
    """An event as a sentence, with the failures that come with it."""
    event = edge.event
    sentence = f"{event.subject} written" if event.key == WRITE else f"{event.subject} {event.action}"
    faults = [name for name in event.faults if not sentence.startswith(name)]
    return f"{sentence} ({', '.join(faults)})" if faults else sentence


def _alarm_changes(network: Network, before: State, after: State) -> tuple[str, ...]:
    were, are = network.alarms_in(before.memory), network.alarms_in(after.memory)
    raised = (f"+{name}" for name in are if name not in were)
    return (*raised, *(f"-{name}" for name in were if name not in are))


def _active_steps(network: Network, state: State) -> tuple[str, ...]:
    charts = network.controller.charts
    return tuple(_step(network, chart.number, state.memory[chart.number]) for chart in charts)


def _step(network: Network, chart: int, step: int) -> str:
    block = network.controller.charts[chart]
    return f"{block.name}.{block.step_names[step]}"


def _changes(names: tuple[str, ...], before: int, after: int) -> tuple[str, ...]:
    changed = before ^ after
    return tuple(
        f"{'+' if after >> bit & 1 else '-'}{name}" for bit, name in enumerate(names) if changed >> bit & 1
    )


def csv_text(rows: tuple[Row, ...], record: MotionRecord | None = None, step_us: int = STEP_US) -> str:
    """The table as CSV with a header line; several names in one field are separated by spaces.

    `record`: a column for each curve follows, named with its unit; rows `sample` between events show corners, and more so that
    no two rows are further apart than `step_us`.
    Source: RFC 4180, but lines end with a line feed alone.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    if record is not None:
        rows = _with_samples(rows, record, step_us)
    curves = () if record is None else curves_at(record, [row.time_us * S_PER_US for row in rows])
    writer.writerow((*COLUMNS, *(f"{curve.name} [{curve.unit}]" for curve in curves)))
    for number, row in enumerate(rows):
        names = (" ".join(row.steps), " ".join(row.outputs), " ".join(row.inputs))
        values = (f"{curve.values[number]:.6f}" for curve in curves)
        writer.writerow((row.time_us, row.what, *names, *values))
    return text.getvalue()


def _with_samples(rows: tuple[Row, ...], record: MotionRecord, step_us: int) -> tuple[Row, ...]:
    known = {row.time_us for row in rows}
    times_us = [time for time in sample_times_us(record, step_us, known) if time not in known]
    samples = [Row(time_us=time, what="sample", steps=(), outputs=(), inputs=()) for time in times_us]
    return tuple(sorted((*rows, *samples), key=lambda row: row.time_us))
