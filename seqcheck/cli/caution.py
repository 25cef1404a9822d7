"""What everybody who reads a result must know."""

from __future__ import annotations

from seqcheck.cli.block import Block, Cell, Heading, Lines, Tone

CAUTION = (
    "An aid to review: it judges a model with the assumptions of that model, not the machine.",
    "Safety functions belong in safety-rated hardware.",
    "Risk assessment (ISO 12100), local codes and a qualified person decide.",
)


def caution() -> tuple[Block, ...]:
    """The footer of every result."""
    return Heading("Caution"), Lines(tuple(Cell(text, Tone.NOTE) for text in CAUTION))
