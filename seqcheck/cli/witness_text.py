"""A witness as a table that a person can follow with a finger."""

from __future__ import annotations

from seqcheck.check.outcome import Witness, WitnessLine
from seqcheck.cli.block import Block, Cell, Table, Tone, cells, lines
from seqcheck.quantities.time import format_time

COLUMNS = ("time", "window", "what happened", "steps", "outputs")


def witness_blocks(witness: Witness) -> tuple[Block, ...]:
    """Whether it was confirmed, then one row for each thing that happens."""
    return lines(_confirmed_text(witness), _count_text(witness)), witness_table(witness.lines)


def _confirmed_text(witness: Witness) -> str:
    if witness.confirmed:
        return "Confirmed: the concrete simulator replayed this run."
    return f"Not confirmed: {witness.reason}."


def _count_text(witness: Witness) -> str:
    faults, acts = counted(witness.faults, "failure"), counted(witness.acts, "act")
    return f"{faults}, {acts} of people or surroundings, {format_time(witness.end_us)} from the start."


def counted(number: int, word: str) -> str:
    """`1 failure`, `2 failures`."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def witness_table(told: tuple[WitnessLine, ...]) -> Table:
    """The rows of a witness; a row shows the steps and outputs that changed in it, the first one every active step."""
    rows = []
    before: tuple[str, ...] = ()
    for line in told:
        rows.append(_row(line, tuple(step for step in line.steps if step not in before)))
        before = line.steps
    return Table(COLUMNS, tuple(rows))


def _row(line: WitnessLine, changed: tuple[str, ...]) -> tuple[Cell, ...]:
    tone = Tone.BAD if line.is_failure else Tone.DOUBT if line.is_act else Tone.PLAIN
    return (
        Cell(format_time(line.time_us)),
        Cell(_window_text(line)),
        Cell(_marked(line), tone),
        *cells(", ".join(changed), ", ".join(line.outputs)),
    )


def _window_text(line: WitnessLine) -> str:
    earliest = format_time(line.earliest_us)
    if line.latest_us is None:
        return f"from {earliest}"
    return "fixed" if line.latest_us == line.earliest_us else f"{earliest} .. {format_time(line.latest_us)}"


def _marked(line: WitnessLine) -> str:
    """What happened, with the words FAILURE and ACT where a reader looks first."""
    text = line.what
    if line.is_act:
        text = f"ACT: {text}"
    return text if not line.is_failure or "FAILURE" in text else f"FAILURE: {text}"
