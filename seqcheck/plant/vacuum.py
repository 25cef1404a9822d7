"""Vacuum: built while its output is on, decaying after; it may not come about, and a held one may be lost."""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import output_drive, required, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import linked, lost_way_links, lost_way_mode
from seqcheck.plant.travel import RESUMED, End, Travel, Way
from seqcheck.quantities.time import TimeRange

_FIELDS = (
    Field(name="output", kind=FieldKind.OUTPUT, meaning="output that draws the vacuum", required=True),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit whose energy the output needs"),
    Field(
        name="build",
        kind=FieldKind.TIME_RANGE,
        meaning="from the command to a vacuum that holds",
        required=True,
    ),
    Field(
        name="decay",
        kind=FieldKind.TIME_RANGE,
        meaning="from the loss of the command to a fully decayed vacuum",
        required=True,
    ),
    Field(name="made", kind=FieldKind.SIGNAL, meaning="input that is on when the vacuum holds"),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The vacuum's positions, with the modes not_built and lost."""
    wires = wires_of(device, made="made")
    return Behaviour(
        device=device.name,
        positions=_all_positions(_travel(device)),
        initial="released",
        facts=("is_held", "is_released"),
        drives=(output_drive(device, "output"),),
        wires=wires,
        failures=(
            Failure(name="not_built", text="vacuum is not built", mode="not_built"),
            Failure(name="lost", text="held vacuum is lost", mode="lost"),
            *contact_failures(wires),
        ),
    )


def _travel(device: Device) -> Travel:
    released = End(name="released", facts=frozenset({"is_released"}))
    held = End(name="held", facts=frozenset({"is_held"}), signals=frozenset({"made"}))
    return Travel(
        Way(
            start=released,
            end=held,
            going="building",
            when=(("output", True),),
            within=required(device, "build", TimeRange),
            facts=frozenset(),
        ),
        Way(
            start=held,
            end=released,
            going="decaying",
            when=(("output", False),),
            within=required(device, "decay", TimeRange),
            facts=frozenset(),
        ),
    )


def _all_positions(travel: Travel) -> tuple[Position, ...]:
    healthy = travel.positions()
    modes = {"not_built": lost_way_links(travel.forth), "lost": {"held": "losing"}}
    return (
        *linked(healthy, modes),
        *lost_way_mode("not_built", healthy, travel.forth, travel.back, lost_facts=frozenset()),
        *_lost_mode(travel.back),
    )


def _lost_mode(decay: Way) -> tuple[Position, ...]:
    """A leak lets the held vacuum decay, as fast as it likes, and no other comes about.

    The positions have names of their own: only a held vacuum can be lost.
    """
    losing = Position(
        name="losing",
        mode="lost",
        moves=(Move(name="decay", to="gone", after=up_to(decay.within)),),
        repaired_as=RESUMED + decay.going if decay.stages else "released",
    )
    gone = Position(name="gone", mode="lost", facts=frozenset({"is_released"}), repaired_as="released")
    return (losing, gone)


VACUUM = DeviceType(
    name="vacuum",
    meaning="A vacuum that holds tape or web",
    fields=_FIELDS,
    behaviour=_behaviour,
)
