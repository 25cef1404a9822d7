"""What the physics needs to know of a drive: what it does in each position, and how long its ramps take."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.kernel.machine import Machine, Place, TimedMove
from seqcheck.plant.travel import RESUMED
from seqcheck.quantities.time import TimeRange


class Motion(Enum):
    """What a drive does in a position."""

    STAND = "stands"
    HOLD = "keeps its speed"
    SLOW = "slows"
    START = "starts"
    SPEED = "runs at speed"


@dataclass(frozen=True, slots=True, kw_only=True)
class RampData:
    """A ramp in a position: the key of its end, how long a whole one takes; `is_part`: it goes on from any speed."""

    key: int
    whole: TimeRange
    is_part: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveData:
    """A drive: its machine, and for each position what it does and the ramp it is in."""

    name: str
    machine: int
    motions: tuple[Motion, ...]
    ramps: tuple[RampData | None, ...]


def drive_data(name: str, machine: Machine) -> DriveData:
    """The drive `name` with its machine."""
    numbers = range(len(machine.places))
    motions = tuple(_motion(machine, number) for number in numbers)
    return DriveData(
        name=name,
        machine=machine.index,
        motions=motions,
        ramps=tuple(_ramp(machine, motions, number) for number in numbers),
    )


def _motion(machine: Machine, place: int) -> Motion:
    for fact, motion in (
        ("is_stopped", Motion.STAND),
        ("is_at_speed", Motion.SPEED),
        ("is_slowing", Motion.SLOW),
        ("is_starting", Motion.START),
    ):
        if place in machine.facts.get(fact, ()):
            return motion
    return Motion.HOLD


def _ramp(machine: Machine, motions: tuple[Motion, ...], place: int) -> RampData | None:
    end = _ramp_end(machine.places[place], motions[place])
    if end is None:
        return None
    is_part = machine.places[place].label.startswith(RESUMED)
    whole = _whole_ramp(machine, motions, place) if is_part else end
    return RampData(
        key=end.pending.key,
        whole=TimeRange(whole.pending.earliest_us, whole.pending.latest_us),
        is_part=is_part,
    )


def _ramp_end(place: Place, motion: Motion) -> TimedMove | None:
    if motion not in (Motion.SLOW, Motion.START):
        return None
    return next((move for move in place.timed if move.pending.latest_us is not None), None)


def _whole_ramp(machine: Machine, motions: tuple[Motion, ...], place: int) -> TimedMove:
    """The end of the whole ramp that a part of one goes on with: of the same failure mode if it has one, else healthy."""
    candidates = [
        (other.mode != machine.places[place].mode, number, end)
        for number, other in enumerate(machine.places)
        if motions[number] is motions[place] and not other.label.startswith(RESUMED)
        if (end := _ramp_end(other, motions[number])) is not None
    ]
    return min(candidates, key=lambda item: item[:2])[2]
