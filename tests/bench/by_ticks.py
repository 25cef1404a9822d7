"""The brute-force search in ticks of a widened copy (tests/reference/tick_search.py), counted and timed."""

from __future__ import annotations

import time

from bench.own_process import Values
from bench.subjects import widened_copy
from reference.tick_model import TickModel
from reference.tick_search import reached_situations


class _OutOfTimeError(Exception):
    """The search has used up its seconds."""


class _Meter(int):
    """Stands for "no limit" where the search compares its states with a limit, and so learns how many there are.

    Python asks the right operand first when its class is a subclass of the left one's. Mutable; owned by one search.
    """

    seen = 0
    deadline_s = 0.0

    def __lt__(self, count: int) -> bool:
        self.seen = count
        if time.perf_counter() > self.deadline_s:
            raise _OutOfTimeError
        return False


def searched(subject: str, faults: int, tick_us: int, limit_s: float) -> Values:
    """Search every run in ticks of `tick_us`; the states counted include clocks."""
    sequence = widened_copy(subject)
    meter = _Meter()
    started_s = time.perf_counter()
    meter.deadline_s = started_s + limit_s
    situations, stopped = None, ""
    try:
        situations = len(reached_situations(TickModel(sequence, faults), tick_us, meter))
    except _OutOfTimeError:
        stopped = f"not within {limit_s:g} s"
    return {
        "count": meter.seen,
        "network_states": situations,
        "seconds": {"search": time.perf_counter() - started_s},
        "stopped": stopped,
    }
