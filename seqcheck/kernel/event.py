"""Events: what can fire in a state, and what a firing leads to."""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from seqcheck.kernel.draw_part import NO_DRAW, DrawPart
from seqcheck.kernel.state import State

READ = 0
"""Key of the pending read."""
WRITE = 1
"""Key of the pending write."""
FREE = -1
"""Key of every event that may happen at any time or never."""


class Cause(Enum):
    """What kind of thing an event is."""

    READ = "controller reads"
    WRITE = "outputs are written"
    TIMER = "time runs out"
    MOVE = "device moves"
    ACT = "somebody acts"
    FAULT = "something fails"
    REPAIR = "something is repaired"
    DELAY = "signal arrives"
    AGE = "limit passes"


class Pending(NamedTuple):
    """An event that time brings: it fires `earliest_us` to `latest_us` after it became pending, if it stays so."""

    key: int
    earliest_us: int
    latest_us: int | None


class Event(NamedTuple):
    """What fires. `subject` is a device, chart, timer or signal; `action` completes the sentence.

    `faults` are the failures that happen in the same instant; `acts` what an operator does for it (inputs chosen at a read
    included), as (device, act) pairs. `chosen` are those inputs of the read that are chosen: (mask, value).
    """

    cause: Cause
    key: int
    subject: str
    action: str
    faults: tuple[str, ...] = ()
    acts: tuple[tuple[str, str], ...] = ()
    chosen: tuple[int, int] = (0, 0)


class Edge(NamedTuple):
    """A firing: the event, the state after it, and the keys of the pending events that go on counting if they still are pending.

    `entered` are the (chart, step) pairs that a read entered. `marks` are what the monitors noticed.
    """

    event: Event
    target: State
    kept: tuple[int, ...]
    entered: tuple[tuple[int, int], ...]
    marks: tuple[Mark, ...]


class Mark(NamedTuple):
    """Something a monitor noticed at a firing.

    `monitor` is its index. `kind`: `started`, `ended` (measure the age `ages[0]` now), `over` (its limit passed), `bad`,
    `drawn` (measure the draw from `ages`), `part` (a part of a condition was seen; `part` says which). `draw` says which kind of
    draw a mark speaks of.
    """

    monitor: int
    kind: str
    ages: tuple[int, ...] = ()
    part: int = 0
    draw: DrawPart = NO_DRAW
