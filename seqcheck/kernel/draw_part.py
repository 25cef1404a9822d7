"""Which draws on the accumulator are told apart: worst values are kept for each, so that like is added to like."""

from __future__ import annotations

from typing import NamedTuple

FROM_FULL, FROM_RUNNING = 0, 1

MOST_CHAINED = 3
"""Draws in a row without the level truly back; beyond, the sum is no longer told apart (and surely over)."""


class DrawPart(NamedTuple):
    """One kind of draw. Sorts by level, then by place in its chain.

    `level`: where the chain of draws began. `chain`: the how-many-th draw it is since the level was truly there. `after_line`:
    the draw before it in the chain ended with the line at standstill. `by_line`: it ends so itself, not with the unwind back at
    speed. `is_whole`: ramps came as in the picture of kernel/draw.py, so that its expression is exact and no bound.
    """

    level: int = FROM_RUNNING
    chain: int = 0
    after_line: bool = False
    by_line: bool = False
    is_whole: bool = True

    @property
    def is_first(self) -> bool:
        """It begins with the level truly there."""
        return self.chain <= 1


NO_DRAW = DrawPart()
"""What a mark that speaks of no draw carries."""
