"""A device of which only times are known: it is on some time after its output, and off some time after."""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Position, contact_failures
from seqcheck.plant.device_entry import output_drive, required, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import linked, lost_way_links, lost_way_mode
from seqcheck.plant.travel import End, Travel, Way
from seqcheck.quantities.time import TimeRange

_CHANGING = frozenset({"is_changing"})

_FIELDS = (
    Field(name="output", kind=FieldKind.OUTPUT, meaning="output that turns the device on", required=True),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the output needs"),
    Field(name="on", kind=FieldKind.TIME_RANGE, meaning="from the command to on", required=True),
    Field(
        name="off", kind=FieldKind.TIME_RANGE, meaning="from the loss of the command to off", required=True
    ),
    Field(name="signal", kind=FieldKind.SIGNAL, meaning="input that is on when the device is on"),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The device's positions, with the modes stays_on and stays_off."""
    travel = _travel(device)
    wires = wires_of(device, signal="signal")
    return Behaviour(
        device=device.name,
        positions=_all_positions(travel),
        initial="off",
        facts=("is_on", "is_off", "is_changing"),
        drives=(output_drive(device, "output"),),
        wires=wires,
        failures=(
            Failure(name="stays_on", text="does not turn off", mode="stays_on"),
            Failure(name="stays_off", text="does not turn on", mode="stays_off"),
            *contact_failures(wires),
        ),
        moving_facts=("is_on", "is_changing"),
    )


def _all_positions(travel: Travel) -> tuple[Position, ...]:
    healthy = travel.positions()
    on, off = travel.ways
    modes = {"stays_on": lost_way_links(off), "stays_off": lost_way_links(on)}
    return (
        *linked(healthy, modes),
        *lost_way_mode("stays_on", healthy, off, on, lost_facts=frozenset()),
        *lost_way_mode("stays_off", healthy, on, off, lost_facts=frozenset()),
    )


def _travel(device: Device) -> Travel:
    off_end = End(name="off", facts=frozenset({"is_off"}))
    on_end = End(name="on", facts=frozenset({"is_on"}), signals=frozenset({"signal"}))
    return Travel(
        Way(
            start=off_end,
            end=on_end,
            going="turning_on",
            when=(("output", True),),
            within=required(device, "on", TimeRange),
            facts=_CHANGING,
        ),
        Way(
            start=on_end,
            end=off_end,
            going="turning_off",
            when=(("output", False),),
            within=required(device, "off", TimeRange),
            facts=_CHANGING,
        ),
    )


TIMED = DeviceType(
    name="timed",
    meaning="A device that is on, and off, some time after its output",
    fields=_FIELDS,
    behaviour=_behaviour,
)
