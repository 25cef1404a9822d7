"""A recording as a stream: rows in the order of time, read once, never held as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from seqcheck.errors import Place
from seqcheck.plc.channel import Change, Channel


class Row(NamedTuple):
    """What changed between the row before (at `before_us`) and this one, which stands in line `line`."""

    before_us: int
    time_us: int
    line: int
    changes: tuple[Change, ...]


class SpeedSink(Protocol):
    """Whoever wants the speeds of every row."""

    def speeds(self, time_us: int, metres_per_second: tuple[float, ...]) -> None:
        """The speeds at this time, in the order of the speed channels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """An opened recording. `rows` can be walked once; the first row has every channel, the last may have no change.

    `unused`: columns that stand for nothing in the sequence. `is_sampled`: rows are samples.
    """

    file: str
    channels: tuple[Channel, ...]
    unused: tuple[str, ...]
    is_sampled: bool
    rows: Iterator[Row]

    def place(self, line: int) -> Place:
        """Where row `line` stands."""
        return Place(self.file, line, 1)
