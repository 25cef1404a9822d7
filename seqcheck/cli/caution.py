"""What everybody who reads a result must know."""

from __future__ import annotations

from seqcheck.cli.block import Block, Cell, Heading, Lines, Tone
from seqcheck.report.caution import CAUTION


def caution() -> tuple[Block, ...]:
    """The footer of every result."""
    return Heading("Caution"), Lines(tuple(Cell(text, Tone.NOTE) for text in CAUTION))
