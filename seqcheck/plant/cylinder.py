"""A cylinder: a valve sends its piston out and back; a switch at either end tells.

With one solenoid a spring sends it back. With two (`opposite`) it goes on the way it was last sent while
neither is on. A piston whose air may be lost, with a 5/3 valve, or held by a pin or brake, is that of
supplied_travel.py.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind, Signal
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Position, Wire, contact_failures
from seqcheck.plant.cylinder_supply import CYLINDER_SUPPLY, SLOWED, is_supplied, supplied_behaviour
from seqcheck.plant.device_entry import (
    file_error,
    latest_us,
    moving_time,
    output_condition,
    solenoid_conditions,
    wires_of,
)
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import (
    Links,
    linked,
    slow_links,
    slow_mode,
    stopped_links,
    stopped_mode,
    undriven_mode,
)
from seqcheck.plant.travel import End, Travel, Way, travel_between
from seqcheck.quantities.time import TimeRange, format_time

_MOVING = frozenset({"is_moving", "is_between"})

_SLOW_FACTOR = 3
"""A slow cylinder takes at most three times as long, unless the file says. Common practice, no source."""

_SWITCHES = (
    Field(name="out", kind=FieldKind.SIGNAL, meaning="input that is on when the piston is out"),
    Field(name="home", kind=FieldKind.SIGNAL, meaning="input that is on when the piston is home"),
    Field(
        name="band",
        kind=FieldKind.TIME_RANGE,
        meaning="how long a switch stays on after leaving, and how long before the true end it comes on",
    ),
)

_FIELDS = (
    Field(
        name="out",
        kind=FieldKind.TIME_RANGE,
        meaning="from the command to the out switch making",
        required=True,
    ),
    Field(
        name="back",
        kind=FieldKind.TIME_RANGE,
        meaning="from the command to the home switch making",
        required=True,
    ),
    Field(name="output", kind=FieldKind.OUTPUT, meaning="output that sends the piston out", required=True),
    Field(
        name="opposite",
        kind=FieldKind.OUTPUT,
        meaning="output that sends the piston back; without it a spring does",
    ),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the outputs need"),
    *CYLINDER_SUPPLY,
    Field(
        name="switches", kind=FieldKind.GROUP, meaning="the end switches and their band", members=_SWITCHES
    ),
    Field(
        name="slow",
        kind=FieldKind.TIME,
        meaning="latest time of either way when slow; three times the longer way if not given",
    ),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The cylinder's positions, with the modes jammed, slow and valve_sticks, and those of its supply."""
    travel = _travel(device)
    slow = _slow_travel(device, travel)
    wires = wires_of(device, out="switches.out", home="switches.home")
    plain = Behaviour(
        device=device.name,
        positions=_all_positions(travel, slow),
        initial="home",
        facts=("is_home", "is_out", "is_moving", "is_between"),
        drives=_drives(device),
        wires=wires,
        failures=_failures(wires),
        moving_facts=("is_moving",),
    )
    return supplied_behaviour(device, plain, travel, slow) if is_supplied(device) else plain


def _all_positions(travel: Travel, slow: Travel) -> tuple[Position, ...]:
    healthy = travel.positions()
    modes: dict[str, Links] = {
        "jammed": stopped_links(travel.ways),
        "slow": slow_links(slow, slow.ways, SLOWED),
    }
    return (
        *linked(healthy, modes),
        *stopped_mode("jammed", healthy, travel.ways, lost=frozenset({"is_moving"})),
        *slow_mode("slow", slow, slow.ways, SLOWED),
        *undriven_mode("valve_sticks", healthy, travel.ways),
    )


def _travel(device: Device) -> Travel:
    out, back = moving_time(device, "out"), moving_time(device, "back")
    home_end, out_end = _end(device, "home"), _end(device, "out")
    to_out, to_home = solenoid_conditions(device)
    return travel_between(
        home_end,
        out_end,
        forth=Way(start=home_end, end=out_end, going="going_out", when=to_out, within=out, facts=_MOVING),
        back=Way(start=out_end, end=home_end, going="going_back", when=to_home, within=back, facts=_MOVING),
    )


def _end(device: Device, name: str) -> End:
    """An end; its band counts only where a switch would show it."""
    band = device.value("switches.band", TimeRange)
    seen = device.value(f"switches.{name}", Signal) is not None and band is not None and latest_us(band) > 0
    return End(
        name=name,
        facts=frozenset({f"is_{name}"}),
        signals=frozenset({name}) if device.value(f"switches.{name}", Signal) else frozenset(),
        band=band if seen else None,
    )


def _drives(device: Device) -> tuple[Drive, ...]:
    roles = ("output",) if device.value("opposite", str) is None else ("output", "opposite")
    return tuple(Drive(role=role, condition=output_condition(device, role)) for role in roles)


def _slow_travel(device: Device, travel: Travel) -> Travel:
    """The travel with ways that take up to the slow time, and bands longer in the same ratio."""
    longest_us = max(latest_us(way.within) for way in travel.ways)
    slow_us = device.value("slow", int)
    if slow_us is None:
        slow_us = _SLOW_FACTOR * longest_us
    if slow_us < longest_us:
        raise file_error(
            device, "slow", expected=f"at least {format_time(longest_us)}", found=format_time(slow_us)
        )
    ends = {way.start.name: _slow_end(way.start, slow_us, longest_us) for way in travel.ways}
    forth, back = (
        replace(
            way,
            start=ends[way.start.name],
            end=ends[way.end.name],
            within=TimeRange(way.within.earliest_us, slow_us),
        )
        for way in travel.ways
    )
    return Travel(forth, back)


def _slow_end(end: End, slow_us: int, longest_us: int) -> End:
    if end.band is None:
        return end
    band_us = latest_us(end.band)
    slow_band_us = -(-band_us * slow_us // longest_us) if longest_us else band_us
    return replace(end, band=TimeRange(end.band.earliest_us, slow_band_us))


def _failures(wires: tuple[Wire, ...]) -> tuple[Failure, ...]:
    return (
        Failure(name="jams", text="jams where it is", mode="jammed"),
        Failure(name="slow", text="moves slowly", mode="slow"),
        Failure(
            name="valve_sticks", text="valve sticks: it finishes its motion, then stays", mode="valve_sticks"
        ),
        *contact_failures(wires),
    )


CYLINDER = DeviceType(
    name="cylinder",
    meaning="A cylinder that a valve sends out and back",
    fields=_FIELDS,
    behaviour=_behaviour,
)
