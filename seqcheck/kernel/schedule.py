"""A run with times: events, the states between them, and when each happened. Both engines speak this form."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.kernel.event import Edge
from seqcheck.kernel.state import State


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """One event of a run. `time_us` is when it happens in this schedule; any time from `earliest_us` to `latest_us` would do.

    `latest_us` None: any later time would do.
    """

    time_us: int
    earliest_us: int
    latest_us: int | None
    edge: Edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A run: the state it starts in, and what happens. `idle_read_times_us` are periodic reads that change nothing."""

    start: State
    happenings: tuple[Happening, ...]
    idle_read_times_us: tuple[int, ...] = ()
