"""What the physics of a run needs to know of a web guide."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.kernel.machine import Machine, Place
from seqcheck.language.sequence import Device


class Guiding(Enum):
    """What a web guide does in a position."""

    GUIDES = "brings the web to where it should be"
    STANDS = "stands where it is"
    CENTRES = "goes to the middle of its travel"
    STRAYS = "guides to a wrong place"
    RUNS_OFF = "runs to the end of its travel"


_GUIDING = {
    "guiding": Guiding.GUIDES,
    "recovering": Guiding.GUIDES,
    "centring": Guiding.CENTRES,
    "centred": Guiding.CENTRES,
}
_FAILED = {
    "sensor_drifts_guiding": Guiding.STRAYS,
    "sensor_drifts_recovering": Guiding.STRAYS,
    "sensor_lost_guiding": Guiding.RUNS_OFF,
    "sensor_lost_recovering": Guiding.RUNS_OFF,
    "sensor_lost_at_limit": Guiding.RUNS_OFF,
}
_ARRIVALS = ("reach_centre", "run_off")
_MODES = ("sensor_drifts_", "sensor_lost_", "hold_fails_")


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideData:
    """A web guide: its machine, what it does in each position, and the key of the event that the distance brings there.

    `lets_go`: positions in which it has been let go of after a hold; `held`: those in which it is held. `drive` is the number of
    the drive whose web it guides.
    """

    name: str
    machine: int
    guiding: tuple[Guiding, ...]
    keys: tuple[int | None, ...]
    is_held: tuple[bool, ...]
    travel_mm: float
    weave_mm: float
    rate_mm_per_s: float
    span_m: float
    drive: int


def guide_data(device: Device, machine: Machine, drive: int) -> GuideData:
    """The data of one guide; a weave that is not given is none."""
    return GuideData(
        name=device.name,
        machine=machine.index,
        guiding=tuple(_doing(place) for place in machine.places),
        keys=tuple(_arrival(place) for place in machine.places),
        is_held=tuple("held" in place.label or place.label.endswith("centred") for place in machine.places),
        travel_mm=device.value("travel", float) or 0.0,
        weave_mm=device.value("weave", float) or 0.0,
        rate_mm_per_s=(device.value("rate", float) or 0.0) * 1000,
        span_m=(device.value("span", float) or 0.0) / 1000,
        drive=drive,
    )


def _doing(place: Place) -> Guiding:
    if place.mode == "jammed":
        return Guiding.STANDS
    if place.label in _FAILED:
        return _FAILED[place.label]
    label = place.label
    for mode in _MODES:
        label = label.removeprefix(mode)
    return _GUIDING.get(label, Guiding.STANDS)


def _arrival(place: Place) -> int | None:
    return next((move.pending.key for move in place.timed if move.label in _ARRIVALS), None)
