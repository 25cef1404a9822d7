"""What a column of a recording holds, in numbers of the network."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum


class ChannelKind(Enum):
    """What kind of thing is recorded; the value is the word for it in a sentence."""

    INPUT = "input"
    OUTPUT = "output"
    CELL = "alarm or flag"
    STEP = "step of a chart"
    SPEED = "speed of a drive in m/s"


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """A recorded thing: its name in the sequence, and the bit, cell, chart or drive it is (`number`).

    `values`: what a chart's column may hold, in lower case, and the step it means.
    """

    name: str
    kind: ChannelKind
    number: int
    column: str
    values: dict[str, int] = field(default_factory=dict)


Change = tuple[int, int]
"""The channel's place among all channels, and its new value."""
