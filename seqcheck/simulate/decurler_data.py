"""What the physics of a run needs to know of a decurler."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.kernel.machine import Machine, Place
from seqcheck.plant.decurler import SLOWED
from seqcheck.plant.travel import RESUMED
from seqcheck.web.decurl import DecurlLaw


class Doing(Enum):
    """What a decurler does in a position."""

    HOME = "is at home"
    FOLLOWS = "follows the diameter"
    ENGAGES = "goes to where the diameter wants it"
    BACKS_OFF = "goes home"
    STANDS = "stands where it is"


_DOING = {
    "home": Doing.HOME,
    "withdrawn": Doing.HOME,
    "in_range": Doing.FOLLOWS,
    "engaging": Doing.ENGAGES,
    "advancing": Doing.ENGAGES,
    "backing_off": Doing.BACKS_OFF,
    "withdrawing": Doing.BACKS_OFF,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DecurlerData:
    """A decurler: its machine, what it does in each position, the key of the move that ends it, and its law and rate.

    `roll` is the number of the roll that it follows; `is_slow`: in which positions it is slow.
    """

    name: str
    machine: int
    doing: tuple[Doing, ...]
    keys: tuple[int | None, ...]
    is_slow: tuple[bool, ...]
    law: DecurlLaw
    rate_mm_per_s: float
    roll: int


def decurler_data(
    name: str, machine: Machine, law: DecurlLaw, rate_mm_per_s: float, roll: int
) -> DecurlerData:
    """The data of one decurler."""
    return DecurlerData(
        name=name,
        machine=machine.index,
        doing=tuple(_doing(place) for place in machine.places),
        keys=tuple(place.timed[0].pending.key if place.timed else None for place in machine.places),
        is_slow=tuple(place.mode == "slow" for place in machine.places),
        law=law,
        rate_mm_per_s=rate_mm_per_s,
        roll=roll,
    )


def _doing(place: Place) -> Doing:
    if place.mode == "jammed":
        return Doing.STANDS
    return _DOING.get(place.label.removeprefix(RESUMED).removeprefix(SLOWED), Doing.STANDS)
