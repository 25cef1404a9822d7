"""Where periodic reads may lie: each a period after the one before, any period from the shortest to the longest.

Between two reads that matter lie reads that change nothing, and where those lie matters to nobody. So the reads of an idle
stretch are placed backwards, once it is chosen when the next read that matters comes.
"""

from __future__ import annotations

from typing import NamedTuple


class Periods(NamedTuple):
    """Shortest and longest time between two reads."""

    shortest_us: int
    longest_us: int


class Stretch(NamedTuple):
    """A stretch of time, both ends included."""

    first_us: int
    last_us: int


def stretches_of_next(periods: Periods, last_us: int, now_us: int, least_us: int = 0) -> tuple[Stretch, ...]:
    """When the first read at or after `now_us` may come (not before `least_us`): one or two stretches, the sooner first.

    `last_us` is the last read that is placed; those after it and before `now_us` changed nothing and are placed afterwards.
    In the instant `now_us` itself a read comes after what happens then, as independent charts would have it.
    """
    shortest_us, longest_us = periods
    soonest_us = max(now_us, least_us)
    idle = max(0, -(-(soonest_us - last_us) // longest_us) - 1)
    first = Stretch(max(soonest_us, last_us + (idle + 1) * shortest_us), last_us + (idle + 1) * longest_us)
    if last_us + (idle + 1) * shortest_us >= now_us:
        return (first,)
    second = Stretch(max(soonest_us, last_us + (idle + 2) * shortest_us), now_us - 1 + longest_us)
    if second.first_us <= first.last_us + 1:
        return (Stretch(first.first_us, max(first.last_us, second.last_us)),)
    return first, second


def idle_reads(periods: Periods, last_us: int, now_us: int, next_us: int) -> tuple[int, ...]:
    """The reads between those at `last_us` and `next_us`, as even as whole microseconds allow, all before `now_us`."""
    shortest_us, longest_us = periods
    count = max(0, -(-(next_us - last_us) // longest_us) - 1)
    if count == 0:
        return ()
    last_idle_us = min(last_us + count * longest_us, now_us - 1, next_us - shortest_us)
    period_us, left = divmod(last_idle_us - last_us, count)
    turn_us = last_us + period_us * (count - left)
    regular = range(last_us + period_us, turn_us + 1, period_us)
    return (*regular, *range(turn_us + period_us + 1, last_idle_us + 1, period_us + 1))


def idle_reads_until(periods: Periods, last_us: int, end_us: int) -> tuple[int, ...]:
    """The reads after `last_us` up to `end_us`, a longest period apart."""
    return tuple(range(last_us + periods.longest_us, end_us + 1, periods.longest_us))
