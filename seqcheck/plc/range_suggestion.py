"""Measured ranges as a patch to the file: exact edits at the places of the ranges, everything else as it was."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import unified_diff
from fractions import Fraction

from seqcheck.language.document import ListNode, MapNode, Node, Scalar, read_document
from seqcheck.plc.replayed import Fit, Measured
from seqcheck.quantities.time import TimeRange, format_time

_STEPS_US = (1_000_000, 100_000, 10_000, 1_000, 100, 10, 1)
"""Suggested ends are whole multiples of one of these, at most a hundredth of the longest time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """The range that the machine showed, widened by the margin; `line` and `column` of what it replaces in the file."""

    measured: Measured
    within: TimeRange
    line: int
    column: int
    old: str

    @property
    def new(self) -> str:
        """As written in a file."""
        earliest, latest = format_time(self.within.earliest_us), format_time(self.within.latest_us or 0)
        return f"{earliest}..{latest}"


def suggestions(text: str, file: str, measured: tuple[Measured, ...], margin: float) -> tuple[Suggestion, ...]:
    """A suggestion for each range of the file that is too narrow or needlessly wide; `margin` 0.1 is ten per cent.

    Ranges that stand in a base, or not on one line as they are, are left out: nothing else may be edited exactly.
    """
    document = read_document(text, file)
    lines = text.removeprefix("\ufeff").split("\n")
    return tuple(_found(document, lines, measured, margin))


def _found(document: MapNode, lines: list[str], measured: tuple[Measured, ...], margin: float) -> Iterator[Suggestion]:
    for part in measured:
        if part.path is None or part.fit not in (Fit.TOO_NARROW, Fit.TOO_WIDE):
            continue
        node = _node(document, part.path)
        if not isinstance(node, Scalar):
            continue
        place = node.text_place
        if not lines[place.line - 1].startswith(node.text, place.column - 1):
            continue
        within = widened(part, margin)
        if within != part.within:
            yield Suggestion(measured=part, within=within, line=place.line, column=place.column, old=node.text)


def _node(node: Node | None, path: tuple[str, ...]) -> Node | None:
    """The value at `path`; a number picks one of several ways out of a state, which may also be a single one."""
    for name in path:
        if isinstance(node, MapNode):
            found = node.get(name)
            node = node if found is None and name.isdigit() else found
        elif isinstance(node, ListNode) and name.isdigit() and int(name) < len(node.items):
            node = node.items[int(name)]
        else:
            return None
    return node


def widened(measured: Measured, margin: float) -> TimeRange:
    """All that was measured, each end moved out by `margin` of itself and rounded outwards."""
    share = Fraction(str(margin))
    step_us = next((step for step in _STEPS_US if 100 * step <= measured.longest_us), 1)
    earliest_us = int(measured.shortest_us * (1 - share)) // step_us * step_us
    latest_us = -(-int(measured.longest_us * (1 + share) + 1) // step_us) * step_us
    return TimeRange(max(0, earliest_us), latest_us)


def edited(text: str, changes: tuple[Suggestion, ...]) -> str:
    """The text with the suggested ranges in place of the old ones; not a character more is changed."""
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    lines = text.removeprefix("\ufeff").split("\n")
    for change in sorted(changes, key=lambda item: (item.line, item.column), reverse=True):
        line, start = lines[change.line - 1], change.column - 1
        lines[change.line - 1] = f"{line[:start]}{change.new}{line[start + len(change.old) :]}"
    return mark + "\n".join(lines)


def patch(text: str, file: str, changes: tuple[Suggestion, ...]) -> str:
    """The change as a unified diff; empty if there is none."""
    before, after = text.splitlines(keepends=True), edited(text, changes).splitlines(keepends=True)
    return "".join(unified_diff(before, after, fromfile=file, tofile=file))
