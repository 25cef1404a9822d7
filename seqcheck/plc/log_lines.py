"""The lines of a recording, read in blocks and within bounds, so that neither a long nor a hostile file costs memory."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

from seqcheck.errors import Place, Problem, SequenceFileError

BLOCK_BYTES = 1 << 20
LONGEST_LINE_BYTES = 1 << 16
"""Bytes of one line. A thousand columns of sixty characters fit."""


def refuse(place: Place, expected: str, found: str, nearest: str | None = None) -> NoReturn:
    """Raise the SequenceFileError with this one problem."""
    raise SequenceFileError([Problem(place=place, expected=expected, found=found, nearest=nearest)])


def log_lines(path: Path) -> Iterator[tuple[int, str]]:
    """Line number (from 1) and text without its end, of every line.

    Raises SequenceFileError if the file cannot be read, is not UTF-8, holds a NUL byte or too long a line.
    """
    for first, block in _blocks(path):
        yield from enumerate(_decoded(block, first, str(path)).split("\n"), start=first)


def _blocks(path: Path) -> Iterator[tuple[int, bytes]]:
    """Blocks of whole lines, each with the number of its first line, without the last line feed."""
    rest, line = b"", 1
    try:
        with path.open("rb") as file:
            while block := file.read(BLOCK_BYTES):
                whole, feed, rest = (rest + block).rpartition(b"\n")
                _check_length(rest, str(path), line + whole.count(b"\n") + len(feed))
                if feed:
                    yield line, whole
                    line += whole.count(b"\n") + 1
    except (OSError, ValueError) as error:  # ValueError: a path with a zero byte
        reason = getattr(error, "strerror", None) or str(error)
        refuse(Place(str(path), 1, 1), "a readable file", reason)
    if rest:
        yield line, rest


def _check_length(rest: bytes, file: str, line: int) -> None:
    if len(rest) > LONGEST_LINE_BYTES:
        refuse(Place(file, line, 1), f"a line of at most {LONGEST_LINE_BYTES} bytes", "a longer one")


def _decoded(block: bytes, first: int, file: str) -> str:
    if b"\0" in block:
        before = block[: block.index(b"\0")]
        refuse(_place_after(before, first, file), "text", "a NUL byte")
    try:
        text = block.decode("utf-8")
    except UnicodeDecodeError as error:
        found = f"the byte 0x{block[error.start]:02X}"
        refuse(_place_after(block[: error.start], first, file), "text in UTF-8", found)
    if first == 1:
        text = text.removeprefix("\ufeff")
    for number, line in enumerate(text.split("\n"), start=first) if len(block) > LONGEST_LINE_BYTES else ():
        if len(line) > LONGEST_LINE_BYTES:
            _check_length(line.encode(), file, number)
    return text.replace("\r", "") if "\r" in text else text


def _place_after(before: bytes, first: int, file: str) -> Place:
    start = before.rfind(b"\n") + 1
    column = len(before[start:].decode("utf-8", "replace")) + 1
    return Place(file, first + before.count(b"\n"), column)
