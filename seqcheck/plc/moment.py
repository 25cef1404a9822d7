"""Moments of a recording: what was seen, what has changed, and between which true times.

Rows stand in the order of what happened, but a change carries the time of a clock that may be off by the jitter, and
a sample only says that something changed since the sample before. Rows closer than twice the jitter are one moment, in which
any order is possible.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from seqcheck.plc.channel import Channel, ChannelKind
from seqcheck.plc.recorded import Recorded, Row


class Seen(NamedTuple):
    """What the recording shows: masks of inputs and outputs, and the value of each chart or cell recorded, in their order."""

    inputs: int
    outputs: int
    cells: tuple[int, ...]


class Moment(NamedTuple):
    """`seen` holds from some true time in [earliest_us, latest_us] on. `touched`: inputs that changed in it, also back again.

    `time_us` is what the recording says, `line` where.
    """

    earliest_us: int
    latest_us: int
    time_us: int
    line: int
    seen: Seen
    touched: int


@dataclass(frozen=True, slots=True)
class Recordable:
    """Which inputs, outputs and memory cells a recording shows: two masks, and the cells in the order of `Seen.cells`."""

    inputs: int
    outputs: int
    cells: tuple[int, ...]


def recordable(channels: tuple[Channel, ...]) -> Recordable:
    """What `channels` show. A chart's active step is the cell with the chart's number."""
    return Recordable(
        sum(1 << item.number for item in channels if item.kind is ChannelKind.INPUT),
        sum(1 << item.number for item in channels if item.kind is ChannelKind.OUTPUT),
        tuple(item.number for item in channels if item.kind in (ChannelKind.STEP, ChannelKind.CELL)),
    )


@dataclass(slots=True)
class _Board:
    """The values of now. Mutable; owned by `moments`."""

    channels: tuple[Channel, ...]
    missing: set[int] = field(default_factory=set)
    inputs: int = 0
    outputs: int = 0
    cells: list[int] = field(default_factory=list)
    places: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        cells = [number for number, item in enumerate(self.channels) if item.kind in (ChannelKind.STEP, ChannelKind.CELL)]
        self.places = {number: place for place, number in enumerate(cells)}
        self.cells = [0] * len(cells)
        self.missing = {number for number, item in enumerate(self.channels) if item.kind is not ChannelKind.SPEED}

    def take(self, row: Row) -> int:
        """Take the changes over; the mask of inputs among them."""
        touched = 0
        for number, value in row.changes:
            channel = self.channels[number]
            self.missing.discard(number)
            if channel.kind is ChannelKind.INPUT:
                bit = 1 << channel.number
                self.inputs = self.inputs | bit if value else self.inputs & ~bit
                touched |= bit
            elif channel.kind is ChannelKind.OUTPUT:
                bit = 1 << channel.number
                self.outputs = self.outputs | bit if value else self.outputs & ~bit
            else:
                self.cells[self.places[number]] = value
        return touched

    def seen(self) -> Seen:
        return Seen(self.inputs, self.outputs, tuple(self.cells))


def moments(recorded: Recorded, jitter_us: int) -> Iterator[Moment]:
    """The moments, the first being that from which every channel has a value; the last marks the end and changes nothing."""
    board = _Board(recorded.channels)
    floor_us: int | None = None
    for group in _groups(recorded, 0 if recorded.is_sampled else 2 * jitter_us):
        touched = 0
        for row in group:
            touched |= board.take(row)
        if board.missing:
            continue
        first, last = group[0], group[-1]
        earliest_us = (first.before_us if recorded.is_sampled else first.time_us) - jitter_us
        latest_us = last.time_us + jitter_us
        earliest_us = earliest_us if floor_us is None else max(earliest_us, floor_us)
        floor_us = earliest_us
        yield Moment(earliest_us, max(latest_us, earliest_us), first.time_us, first.line, board.seen(), touched)


def _groups(recorded: Recorded, gap_us: int) -> Iterator[list[Row]]:
    """Rows that are one moment. A long group keeps its first row and sums up the others, so that it costs no memory."""
    group: list[Row] = []
    for row in recorded.rows:
        is_new = not group or row.time_us - group[-1].time_us > gap_us or not row.changes or recorded.is_sampled
        if group and is_new:
            yield group
            group = []
        group.append(row)
        if len(group) > MOST_IN_GROUP:
            group = [group[0], _joined(group[1:])]
    if group:
        yield group


MOST_IN_GROUP = 256


def _joined(rows: list[Row]) -> Row:
    """The rows as one: every change once, with its last value."""
    changes = {number: value for row in rows for number, value in row.changes}
    return rows[-1]._replace(before_us=rows[0].before_us, changes=tuple(changes.items()))
