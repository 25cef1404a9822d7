"""How far a device is out over time, for the picture.

A run knows only in which position a device is: home, leaving, going, arriving, out. At an end the place is known; on the way the
device is taken to go evenly from one known place to the next. What stands between its ends (a jam) is drawn half way.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from seqcheck.kernel.machine import Machine

Going = tuple[tuple[int, float], ...]
"""(time in microseconds, value from 0 to 1) pairs: between them the value goes straight."""

ENDS = (("is_home", "is_out"), ("is_closed", "is_open"), ("is_released", "is_held"), ("is_stopped", "is_at_speed"))
"""Facts of the two ends of what goes between two ends."""
MOVING = ("is_moving", "is_slowing", "is_starting")
NEAR = {"leaving_home": 0.05, "arriving_home": 0.05, "leaving_out": 0.95, "arriving_out": 0.95}
"""Within the band of a switch. Common practice, no source."""
BACKWARDS = {"going_back", "leaving_out", "arriving_home"}
HALF_WAY = 0.5
UNDER_WAY_US = 100_000
"""How long what is still under way at the end of a run is shown to move. Common practice, no source."""


class _Stay(NamedTuple):
    """From `time_us` on at `value`, staying there if `holds`; None: somewhere on the way. `backwards`: which way."""

    time_us: int
    value: float | None
    holds: bool
    backwards: bool


def stroke_of(machine: Machine, places: tuple[tuple[int, int], ...]) -> Going | None:
    """The stroke of `machine`, whose positions from each time on are `places`; None for what has no two ends."""
    pair = next((pair for pair in ENDS if all(fact in machine.facts for fact in pair)), None)
    if pair is None:
        return None
    low, high = (machine.facts[fact] for fact in pair)
    moving = frozenset().union(*(machine.facts.get(fact, ()) for fact in MOVING))
    changes = [item for number, item in enumerate(places) if number == 0 or item[1] != places[number - 1][1]]
    stays = [_stay(machine, time_us, place, (low, high, moving)) for time_us, place in changes]
    return tuple(_points(stays))


def _stay(
    machine: Machine, time_us: int, place: int, known: tuple[frozenset[int], frozenset[int], frozenset[int]]
) -> _Stay:
    low, high, moving = known
    label = machine.places[place].label.removeprefix("slowed_").removeprefix("resumed_")
    backwards = label in BACKWARDS
    if label in NEAR and place in moving:
        return _Stay(time_us, NEAR[label], False, backwards)
    if place in low or place in high:
        return _Stay(time_us, float(place in high), True, backwards)
    if moving and place not in moving:
        return _Stay(time_us, HALF_WAY, True, backwards)
    return _Stay(time_us, None, False, backwards)


def _points(stays: list[_Stay]) -> Iterator[tuple[int, float]]:
    """The corners: what holds is left when the next stay begins; what turns round on the way does so half way, or at its end."""
    last = stays[0]
    for number, stay in enumerate(stays):
        turned = stay.backwards != last.backwards and not last.holds and number > 0
        if last.holds and last.value is not None and stay != last:
            yield stay.time_us, last.value
        if stay.value is not None and not (stay.holds and last.holds and stay.value == last.value and number > 0):
            yield stay.time_us, stay.value
        elif turned and not stay.holds:
            yield stay.time_us, HALF_WAY if last.value is None else last.value
        last = stay
    if last.value is None:
        yield last.time_us + UNDER_WAY_US, HALF_WAY
