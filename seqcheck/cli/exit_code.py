"""What the program ends with."""

from __future__ import annotations

from collections.abc import Iterable

ALL_HOLD = 0
BROKEN = 1
"""A requirement is violated or vacuous."""
BAD_INPUT = 2
"""A file or the command line cannot be used."""
UNDECIDED = 3
INTERRUPTED = 130
"""Ctrl-C where there is nothing to show yet. 128 + SIGINT, common practice of shells, no source."""

_WORST_FIRST = (BAD_INPUT, BROKEN, UNDECIDED, ALL_HOLD)


def worst(codes: Iterable[int]) -> int:
    """The code that a person must hear of first."""
    return min(codes, key=_WORST_FIRST.index, default=ALL_HOLD)
