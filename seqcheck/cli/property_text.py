"""Property tests as blocks: what drawn runs covered, what they refuted, and where they contradict a proof."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.check.measure_text import value_text
from seqcheck.check.property_outcome import PropertyTests, Refutation, Tested
from seqcheck.cli.block import Block, Cell, Heading, Table, Tone, cells, lines
from seqcheck.cli.witness_text import counted, witness_blocks

COLUMNS = ("id", "runs", "put to the test in", "worst seen", "drawn runs")


def property_blocks(tests: PropertyTests | None) -> Iterator[Block]:
    """All that a person is told about drawn runs."""
    if tests is None:
        yield lines("No drawn runs: the verdicts rest on the proofs alone.")
        return
    yield Heading("Drawn runs beside the proofs")
    yield lines(
        f"{_count_text(tests)} A proof covers every run; drawn runs are a second look, by the simulator alone."
    )
    yield Table(COLUMNS, tuple(_row(tested) for tested in tests.tested))
    for tested in tests.tested:
        if tested.refutation is not None:
            yield from refutation_blocks(tested.requirement, tested.refutation)
    for found in tests.disagreements:
        yield Heading(f"{found.requirement}: DEFECT OF SEQCHECK, please report it", Tone.BAD)
        yield lines(found.text, f"Proved: {found.proof}")


def refutation_blocks(requirement: str, refutation: Refutation) -> Iterator[Block]:
    """A drawn run that breaks a requirement."""
    yield Heading(
        f"{requirement}: broken in a drawn run, made as short as it went: {refutation.why}", Tone.BAD
    )
    yield from witness_blocks(refutation.witness)


def _count_text(tests: PropertyTests) -> str:
    more = f", and {tests.shrinking} to shorten what was found" if tests.shrinking else ""
    return f"{counted(tests.runs, 'run')} from seed {tests.seed}{more}."


def _row(tested: Tested) -> tuple[Cell, ...]:
    is_broken = tested.refutation is not None
    text = "[!!] broken" if is_broken else "never tested" if not tested.tested else "not broken"
    return (
        *cells(
            tested.requirement, str(tested.watched), str(tested.tested), value_text(tested.worst_us, "us")
        ),
        Cell(text, Tone.BAD if is_broken else Tone.PLAIN),
    )
