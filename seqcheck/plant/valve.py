"""A valve: an output opens it, a spring closes it; it sticks where it is.

With a second solenoid (`opposite`) that closes it, it keeps its place while neither is on, also without control power.
"""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, contact_failures
from seqcheck.plant.device_entry import output_drive, required, solenoid_conditions, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import linked, stopped_links, stopped_mode
from seqcheck.plant.travel import End, Travel, Way
from seqcheck.quantities.time import TimeRange

_FIELDS = (
    Field(name="open", kind=FieldKind.TIME_RANGE, meaning="from the command to fully open", required=True),
    Field(name="close", kind=FieldKind.TIME_RANGE, meaning="from the command to fully closed", required=True),
    Field(name="output", kind=FieldKind.OUTPUT, meaning="output that opens the valve", required=True),
    Field(
        name="opposite",
        kind=FieldKind.OUTPUT,
        meaning="output that closes the valve; without it a spring does",
    ),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the outputs need"),
    Field(name="opened", kind=FieldKind.SIGNAL, meaning="input that is on when the valve is fully open"),
    Field(name="closed", kind=FieldKind.SIGNAL, meaning="input that is on when the valve is fully closed"),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The valve's positions, with the mode stuck."""
    travel = _travel(device)
    healthy = travel.positions()
    stuck = stopped_mode("stuck", healthy, travel.ways, lost=frozenset({"is_moving"}))
    wires = wires_of(device, opened="opened", closed="closed")
    return Behaviour(
        device=device.name,
        positions=(*linked(healthy, {"stuck": stopped_links(travel.ways)}), *stuck),
        initial="closed",
        facts=("is_open", "is_closed", "is_moving"),
        drives=tuple(output_drive(device, role) for role in ("output", "opposite") if device.entry(role)),
        wires=wires,
        failures=(
            Failure(name="sticks", text="sticks where it is", mode="stuck"),
            *contact_failures(wires),
        ),
        moving_facts=("is_open", "is_moving"),
    )


def _travel(device: Device) -> Travel:
    closed_end = End(name="closed", facts=frozenset({"is_closed"}), signals=frozenset({"closed"}))
    open_end = End(name="open", facts=frozenset({"is_open"}), signals=frozenset({"opened"}))
    moving = frozenset({"is_moving"})
    to_open, to_close = solenoid_conditions(device)
    return Travel(
        Way(
            start=closed_end,
            end=open_end,
            going="opening",
            when=to_open,
            within=required(device, "open", TimeRange),
            facts=moving,
        ),
        Way(
            start=open_end,
            end=closed_end,
            going="closing",
            when=to_close,
            within=required(device, "close", TimeRange),
            facts=moving,
        ),
    )


VALVE = DeviceType(
    name="valve",
    meaning="A valve that an output opens, and a spring or a second output closes",
    fields=_FIELDS,
    behaviour=_behaviour,
)
