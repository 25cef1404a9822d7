"""A simulated run as blocks: a table of its events, and why it ended."""

from __future__ import annotations

from seqcheck.cli.block import Block, Cell, Heading, Lines, Table, Tone, cells, lines
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import format_time
from seqcheck.simulate.recording import Row, event_table
from seqcheck.simulate.run import Run
from seqcheck.simulate.sequence_run import SequenceRun

COLUMNS = ("time", "what happened", "steps", "outputs", "inputs")


def run_blocks(sequence: Sequence, simulated: SequenceRun) -> tuple[Block, ...]:
    """All that a person is told about one run."""
    rows = event_table(simulated.network, simulated.run.schedule)
    return (
        Heading(f"{sequence.file}: {sequence.name}"),
        Table(COLUMNS, tuple(_row(row) for row in rows)),
        lines(_end_text(simulated.run)),
        *_missed(simulated.run),
        *_disagreements(simulated.run),
    )


def _row(row: Row) -> tuple[Cell, ...]:
    return cells(
        format_time(row.time_us), row.what, ", ".join(row.steps), " ".join(row.outputs), " ".join(row.inputs)
    )


def _end_text(run: Run) -> str:
    note = f" ({run.note})" if run.note else ""
    return f"The run ended at {format_time(run.end_us)}: {run.stop.value}{note}."


def _missed(run: Run) -> tuple[Block, ...]:
    if not run.missed:
        return ()
    return (Lines(tuple(Cell(f"Not possible then: {text}", Tone.DOUBT) for text in run.missed)),)


def _disagreements(run: Run) -> tuple[Block, ...]:
    """Where the physics puts an event outside the range that the sequence's devices give it."""
    texts = [f"Physics and sequence disagree: {text}" for text in run.disagreements]
    return (Lines(tuple(Cell(text, Tone.BAD) for text in texts)),) if texts else ()
