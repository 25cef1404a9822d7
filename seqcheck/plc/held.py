"""One thing that the controller may be holding, as far as a recording tells, with the times that are not known exactly."""

from __future__ import annotations

from typing import NamedTuple

LONG_AGO_US = -(1 << 61)
NEVER_US = 1 << 61


class Held(NamedTuple):
    """What the controller may hold. Pairs of `..lo_us` and `..hi_us` are the earliest and latest time at which something was.

    `lo_us`, `hi_us`: the last thing that happened; `read_*`: the last read that changed anything. `timers`: since when each timer
    of the controller has been running (0, 0 if it is not). `due_us`: the next read comes by then; None: reads change nothing now.
    """

    memory: tuple[int, ...]
    written: int
    computed: int
    inputs: int
    lo_us: int
    hi_us: int
    read_lo_us: int
    read_hi_us: int
    timers: tuple[tuple[int, int], ...]
    due_us: int | None

    @property
    def identity(self) -> tuple[tuple[int, ...], int, int, int]:
        """All but times."""
        return self.memory, self.written, self.computed, self.inputs


def joined(first: Held, second: Held) -> Held:
    """One that covers both; they differ in times alone."""
    return first._replace(
        lo_us=min(first.lo_us, second.lo_us),
        hi_us=max(first.hi_us, second.hi_us),
        read_lo_us=min(first.read_lo_us, second.read_lo_us),
        read_hi_us=max(first.read_hi_us, second.read_hi_us),
        timers=tuple(
            [(min(one[0], two[0]), max(one[1], two[1])) for one, two in zip(first.timers, second.timers, strict=True)]
        ),
        due_us=None if first.due_us is None or second.due_us is None else max(first.due_us, second.due_us),
    )
