"""Blocks on a terminal or into a pipe: rich tables as wide as the terminal, plain text anywhere else."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, TextIO

from seqcheck.cli.block import Block, Cell, Heading, Lines, Table, Tone, one_line
from seqcheck.cli.plain_text import plain_text

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

STYLES = {
    Tone.PLAIN: "",
    Tone.GOOD: "green",
    Tone.BAD: "bold red",
    Tone.DOUBT: "yellow",
    Tone.NOTE: "dim",
}
"""Colours only underline what the words say."""


def show(blocks: Iterable[Block]) -> None:
    """Print blocks on standard output."""
    if is_rich(sys.stdout):
        _show_rich(blocks)
    else:
        sys.stdout.write(plain_text(blocks))
        sys.stdout.flush()


def say(text: str) -> None:
    """Print a line on standard error, where it is in nobody's way."""
    sys.stderr.write(f"{text}\n")
    sys.stderr.flush()


def is_rich(stream: TextIO) -> bool:
    """Whether the stream is a terminal on which colours, frames and bars are welcome.

    Source: no-color.org, a common convention: any value of NO_COLOR but the empty one counts.
    """
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _show_rich(blocks: Iterable[Block]) -> None:
    from rich.console import Console

    console = Console(file=sys.stdout, highlight=False, markup=False, emoji=False)
    for block in blocks:
        match block:
            case Heading(text=text, tone=tone):
                console.print(f"\n{one_line(text)}", style=f"bold {STYLES[tone]}".strip())
            case Lines(cells=cells):
                for cell in cells:
                    console.print(one_line(cell.text), style=STYLES[cell.tone] or None)
            case Table():
                _show_table(console, block)


def _show_table(console: Console, table: Table) -> None:
    from rich.box import SIMPLE_HEAD
    from rich.table import Table as RichTable

    shown = RichTable(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False)
    for number, column in enumerate(table.columns):
        shown.add_column(column, overflow="fold", no_wrap=number == 0)
    for row in table.rows:
        shown.add_row(*(_rich_cell(cell) for cell in row))
    console.print(shown)


def _rich_cell(cell: Cell) -> Text:
    from rich.text import Text

    return Text(one_line(cell.text), style=STYLES[cell.tone])
