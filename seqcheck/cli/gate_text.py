"""The gate's verdict as blocks for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.cli.block import Block, Cell, Heading, Table, Tone, cells, lines
from seqcheck.gate.markdown import headline
from seqcheck.gate.policy import Level
from seqcheck.gate.run_text import run_lines
from seqcheck.gate.verdict import GateVerdict, JudgedChange

MARKS = {
    Level.BLOCK: ("[!!] blocks", Tone.BAD),
    Level.WARN: ("[??] warns", Tone.DOUBT),
    Level.WAIVED: ("[--] waived", Tone.DOUBT),
    Level.NOTE: ("[ok] note", Tone.NOTE),
}
COLUMNS = ("level", "change", "file", "requirement", "what", "old", "new")


def gate_blocks(verdict: GateVerdict) -> tuple[Block, ...]:
    """The verdict, every change, and the run of each requirement that is newly broken."""
    is_blocked = bool(verdict.of_level(Level.BLOCK))
    ordered = [part for level in MARKS for part in verdict.of_level(level)]
    return (
        Heading(headline(verdict), Tone.BAD if is_blocked else Tone.GOOD),
        lines(f"{len(verdict.files)} files, compared with {verdict.base}"),
        *((Table(COLUMNS, tuple(_row(part) for part in ordered)),) if ordered else ()),
        *(block for part in ordered if part.level is Level.BLOCK for block in _run(part)),
        *_notes(verdict),
    )


def _row(part: JudgedChange) -> tuple[Cell, ...]:
    change = part.change
    text, tone = MARKS[part.level]
    waived = ""
    if part.level is Level.WAIVED and part.waiver is not None:
        waived = f" (waived by {part.waiver.approver} until {part.waiver.expires.isoformat()}: {part.waiver.reason})"
    what = change.text + waived
    return (Cell(text, tone), *cells(change.kind.value, str(change.place), change.requirement, what, change.old, change.new))


def _run(part: JudgedChange) -> Iterator[Block]:
    if part.change.run:
        yield Heading(f"{part.change.place.file}, {part.change.requirement}: a run that shows it")
        yield Table(("run",), tuple((Cell(line),) for line in run_lines(part.change.run)))


def _notes(verdict: GateVerdict) -> Iterator[Block]:
    unused = (f"The waiver of {part.requirement} (until {part.expires.isoformat()}) was not needed." for part in verdict.unused)
    found = (*unused, *(f"Warning: {text}" for text in verdict.warnings))
    if found:
        yield lines(*found)
