"""Comments of a controller text, found again beside what they speak of."""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import NamedTuple

_COMMENT = re.compile(r"\(\*(?P<a>.*?)\*\)|//(?P<b>[^\n]*)|/\*(?P<c>.*?)\*/", re.DOTALL)


class Comment(NamedTuple):
    """A comment: the line and column of its start, the line of its end, its text on one line."""

    line: int
    column: int
    end_line: int
    text: str


class Comments:
    """The comments of one text. The language has no texts in quotes here, so whatever looks like a comment is one."""

    def __init__(self, text: str) -> None:
        """Find all comments of `text`."""
        self._starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self._header = _header(text)
        found = [self._comment(match) for match in _COMMENT.finditer(text)]
        self._by_line: dict[int, list[Comment]] = {}
        self._by_end: dict[int, Comment] = {}
        for comment in found:
            self._by_line.setdefault(comment.line, []).append(comment)
            if comment.column == 1 + self._indent(text, comment.line):
                self._by_end[comment.end_line] = comment

    def header(self) -> tuple[str, ...]:
        """The lines of the comment on top of the text."""
        return self._header

    def after(self, line: int, column: int) -> str:
        """The comment behind this place on its line."""
        behind = [comment.text for comment in self._by_line.get(line, []) if comment.column >= column]
        return " ".join(behind)

    def above(self, line: int) -> str:
        """The comment on the line above, if it has that line to itself."""
        comment = self._by_end.get(line - 1)
        return "" if comment is None else comment.text

    def _comment(self, match: re.Match[str]) -> Comment:
        line = bisect_right(self._starts, match.start())
        end_line = bisect_right(self._starts, match.end() - 1)
        text = " ".join(_inside(match).split())
        return Comment(line, match.start() - self._starts[line - 1] + 1, end_line, text)

    def _indent(self, text: str, line: int) -> int:
        rest = text[self._starts[line - 1] :]
        return len(rest) - len(rest.lstrip(" \t")) if rest[:1] in (" ", "\t") else 0


def _inside(match: re.Match[str]) -> str:
    return next(part for part in match.groups() if part is not None)


def _header(text: str) -> tuple[str, ...]:
    match = _COMMENT.match(text)
    if match is None:
        return ()
    return tuple(line.strip() for line in _inside(match).strip().split("\n"))
