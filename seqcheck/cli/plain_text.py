"""Blocks as plain text: aligned columns, the same bytes for the same blocks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from seqcheck.cli.block import Block, Heading, Lines, Table, one_line

GAP = "  "


def plain_text(blocks: Iterable[Block]) -> str:
    """The text of all blocks, one empty line before each heading and around each table."""
    text: list[str] = []
    for block in blocks:
        if text and text[-1] and _is_apart(block):
            text.append("")
        text.extend(_lines_of(block))
    return "".join(f"{line}\n" for line in text)


def _is_apart(block: Block) -> bool:
    return not isinstance(block, Lines)


def _lines_of(block: Block) -> Iterator[str]:
    match block:
        case Heading(text=text):
            yield one_line(text)
        case Lines(cells=cells):
            yield from (one_line(cell.text) for cell in cells)
        case Table():
            yield from _table(block)


def _table(table: Table) -> Iterator[str]:
    rows = [table.columns, *(tuple(one_line(cell.text) for cell in row) for row in table.rows)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(table.columns))]
    yield _row(rows[0], widths)
    yield GAP.join("-" * width for width in widths)
    yield from (_row(row, widths) for row in rows[1:])
    yield ""


def _row(texts: tuple[str, ...], widths: list[int]) -> str:
    return GAP.join(text.ljust(width) for text, width in zip(texts, widths, strict=True)).rstrip()
