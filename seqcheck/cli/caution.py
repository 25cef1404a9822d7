"""What everybody who reads a result must know."""

from __future__ import annotations

from seqcheck.cli.block import Cell, Lines, Tone

CAUTION = (
    "An aid to review: it judges a model, under the assumptions listed above, not the machine.",
    "Safety functions belong in safety-rated hardware. Risk assessment (ISO 12100), local codes and a",
    "qualified person decide.",
)


def caution() -> Lines:
    """The footer of every result."""
    return Lines(tuple(Cell(text, Tone.NOTE) for text in CAUTION))
