"""Where the characters of a text that was filled in come from: `chuck_a_closed` from `chuck_<spindle>_closed`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Characters from offset `start` on: written at offset `written`. `moves` False: all stand for what is written there."""

    start: int
    written: int
    moves: bool


@dataclass(frozen=True, slots=True)
class Origin:
    """The pieces of a text in order, from offset 0 on; none: the text is as it was written."""

    pieces: tuple[Piece, ...] = ()

    def column(self, offset: int) -> int:
        """Offset in what is written, of the character at `offset` of the text."""
        piece = next((part for part in reversed(self.pieces) if part.start <= offset), None)
        if piece is None:
            return offset
        return piece.written + (offset - piece.start if piece.moves else 0)

    def after(self, start: int) -> Origin:
        """The origin of the text from `start` on, as seen from where that was written."""
        if not self.pieces:
            return self
        base = self.column(start)
        under_way = [part for part in self.pieces if part.start <= start]
        first = Piece(start=0, written=0, moves=under_way[-1].moves if under_way else True)
        later = [
            Piece(start=part.start - start, written=part.written - base, moves=part.moves)
            for part in self.pieces
            if part.start > start
        ]
        return Origin((first, *later))


AS_WRITTEN = Origin()
"""The origin of a text in which nothing was filled in."""
