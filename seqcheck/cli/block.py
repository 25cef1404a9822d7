"""What a command shows, as data: headings, lines and tables. Writers put it on a terminal or into plain text."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Tone(Enum):
    """How a cell is meant. A terminal may colour it; the words alone say it too."""

    PLAIN = "plain"
    GOOD = "good"
    BAD = "bad"
    DOUBT = "doubt"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Cell:
    """A piece of text on one line."""

    text: str
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Heading:
    """A line over what follows."""

    text: str
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines of text, one below the other."""

    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under named columns; every row has a cell for each column."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


Block = Heading | Lines | Table


def lines(*texts: str) -> Lines:
    """Plain lines."""
    return Lines(tuple(Cell(text) for text in texts))


def cells(*texts: str) -> tuple[Cell, ...]:
    """A row of plain cells."""
    return tuple(Cell(text) for text in texts)


def one_line(text: str) -> str:
    """The text on one line, with anything that would move a cursor or change a terminal written out as `\\x1b`."""
    joined = " ".join(text.split())
    if joined.isprintable():
        return joined
    return "".join(
        part if part.isprintable() else part.encode("unicode_escape").decode("ascii") for part in joined
    )
