"""A web drive (unwind, nip): runs up to speed while told to run, and down to standstill while not."""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Position, contact_failures
from seqcheck.plant.device_entry import file_error, latest_us, output_drive, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import (
    Links,
    linked,
    lost_way_links,
    lost_way_mode,
    slow_links,
    slow_mode,
)
from seqcheck.plant.jog import JOG_FAILURE, REDUCED, with_jog
from seqcheck.plant.travel import RESUMED, End, Travel, Way
from seqcheck.quantities.time import TimeRange, format_time

_COAST_FACTOR = 4
"""A drive without its brake takes at most four times as long to stop. Common practice, no source."""

DRIVE_FACTS = ("is_stopped", "is_moving", "is_at_speed", "is_slowing", "is_starting")
"""The facts of an unwind and of a line drive."""

RAMP_FIELDS = (
    Field(name="run", kind=FieldKind.OUTPUT, meaning="output that lets the drive run", required=True),
    Field(
        name="stop",
        kind=FieldKind.TIME_RANGE,
        meaning="from line speed to standstill; the machine data's if not given",
    ),
    Field(
        name="start",
        kind=FieldKind.TIME_RANGE,
        meaning="from standstill to line speed; the machine data's if not given",
    ),
    Field(
        name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the drive needs to run"
    ),
    Field(name="stopped", kind=FieldKind.SIGNAL, meaning="input that is on at standstill"),
    Field(name="at_speed", kind=FieldKind.SIGNAL, meaning="input that is on at line speed"),
    Field(
        name="initially",
        kind=FieldKind.WORD,
        meaning="how the drive is found at the start; at speed if not given",
        choices=("stopped", "at_speed"),
    ),
)

_COAST = Field(
    name="coast",
    kind=FieldKind.TIME,
    meaning="latest time to standstill without the brake; four times the latest stop if not given",
)

STORES = Field(
    name="stores",
    kind=FieldKind.WORD,
    choices=("inertia",),
    meaning="a roll whose inertia keeps it turning: while it moves it `is_stored`, energy that a person must not rely on",
)

_JOG_FIELDS = (
    Field(name="jog", kind=FieldKind.OUTPUT, meaning="output that lets the drive run at reduced speed, from standstill"),
    Field(
        name="jog stop",
        kind=FieldKind.TIME_RANGE,
        meaning="from the end of jogging to standstill; up to 200 ms if not given",
    ),
)

RAMP_FAILURES = (
    Failure(name="does_not_stop", text="keeps running", mode="does_not_stop"),
    Failure(name="does_not_start", text="does not come up to speed", mode="does_not_start"),
)
"""What can fail in the running up and down of any drive."""


def ramp_time(device: Device, name: str, shared: TimeRange | None) -> TimeRange:
    """The ramp time in entry `name`, or the machine data's.

    Raises SequenceFileError, at the device's place, if there is neither.
    """
    within = device.value(name, TimeRange) or shared
    if within is None:
        raise file_error(
            device,
            name,
            expected=f"a field {name!r} of {device.name}, or machine data with it",
            found="neither",
        )
    return within


def ramp_travel(stop: TimeRange, start: TimeRange) -> Travel:
    """The ramps up and down between standstill and line speed."""
    stopped = End(name="stopped", facts=frozenset({"is_stopped"}), signals=frozenset({"stopped"}))
    at_speed = End(
        name="at_speed", facts=frozenset({"is_at_speed", "is_moving"}), signals=frozenset({"at_speed"})
    )
    return Travel(
        Way(
            start=stopped,
            end=at_speed,
            going="starting",
            when=(("run", True),),
            within=start,
            facts=frozenset({"is_starting", "is_moving"}),
        ),
        Way(
            start=at_speed,
            end=stopped,
            going="slowing",
            when=(("run", False),),
            within=stop,
            facts=frozenset({"is_slowing", "is_moving"}),
        ),
    )


def ramp_links(ramps: Travel) -> dict[str, Links]:
    """The links of a drive's healthy positions to its failed modes does_not_stop and does_not_start."""
    return {"does_not_stop": lost_way_links(ramps.back), "does_not_start": lost_way_links(ramps.forth)}


def ramp_modes(ramps: Travel, healthy: tuple[Position, ...]) -> tuple[Position, ...]:
    """The failed modes does_not_stop and does_not_start.

    A drive that was slowing moves on, neither slowing nor at speed; likewise one that was starting.
    """
    slowing, starting = frozenset({"is_slowing"}), frozenset({"is_starting"})
    return (
        *lost_way_mode("does_not_stop", healthy, ramps.back, ramps.forth, lost_facts=slowing),
        *lost_way_mode("does_not_start", healthy, ramps.forth, ramps.back, lost_facts=starting),
    )


def drive_behaviour(
    device: Device, positions: tuple[Position, ...], failures: tuple[Failure, ...]
) -> Behaviour:
    """The behaviour of a drive with these positions and body failures."""
    wires = wires_of(device, stopped="stopped", at_speed="at_speed")
    stored = ("is_stored",) if device.entry("stores") else ()
    return Behaviour(
        device=device.name,
        positions=tuple(_storing(position) for position in positions) if stored else positions,
        initial=device.value("initially", str) or "at_speed",
        facts=(*DRIVE_FACTS, *stored),
        drives=(output_drive(device, "run"),),
        wires=wires,
        failures=(*failures, *contact_failures(wires)),
        moving_facts=("is_moving",),
    )


def _storing(position: Position) -> Position:
    if "is_moving" not in position.facts:
        return position
    return replace(position, facts=position.facts | {"is_stored"})


def _behaviour(device: Device, machine: MachineData) -> Behaviour:
    """The drive's positions, with the modes does_not_stop, does_not_start and coasts."""
    shared = machine.unwind
    stop = ramp_time(device, "stop", shared.stop if shared else None)
    start = ramp_time(device, "start", shared.start if shared else None)
    coast = _coast_time(device, stop)
    ramps, coasting = ramp_travel(stop, start), ramp_travel(coast, start)
    healthy, slowed = ramps.positions(), (coasting.back,)
    links = ramp_links(ramps) | {"coasts": slow_links(coasting, slowed, RESUMED)}
    positions = (
        *linked(healthy, links),
        *ramp_modes(ramps, healthy),
        *slow_mode("coasts", coasting, slowed, RESUMED),
    )
    coasts = Failure(name="coasts", text="coasts to standstill without its brake", mode="coasts")
    failures = (*RAMP_FAILURES, coasts)
    if device.entry("jog") is None:
        _refuse_jog_entries(device)
        return drive_behaviour(device, positions, failures)
    jogging = with_jog(positions, _jog_stop(device), TimeRange(0, coast.latest_us))
    return _with_jog_drive(device, drive_behaviour(device, jogging, (*failures, JOG_FAILURE)))


def _refuse_jog_entries(device: Device) -> None:
    if device.entry("jog stop") is not None:
        raise file_error(device, "jog stop", expected="an output 'jog' with it", found="none")


def _jog_stop(device: Device) -> TimeRange:
    """From the end of jogging to standstill; up to 200 ms where the file does not say. Common practice, no source."""
    return device.value("jog stop", TimeRange) or TimeRange(0, 200_000)


def _with_jog_drive(device: Device, behaviour: Behaviour) -> Behaviour:
    facts = (*behaviour.facts, REDUCED)
    return replace(behaviour, facts=facts, drives=(*behaviour.drives, output_drive(device, "jog")))


def _coast_time(device: Device, stop: TimeRange) -> TimeRange:
    """The stop without the brake: as soon as with it, or as late as `coast`."""
    stop_us = latest_us(stop)
    coast_us = device.value("coast", int)
    if coast_us is None:
        coast_us = _COAST_FACTOR * stop_us
    if coast_us < stop_us or stop_us == 0 < coast_us:
        raise file_error(
            device,
            "coast",
            expected=f"a time not below the latest stop of {format_time(stop_us)}, which is above zero",
            found=format_time(coast_us),
        )
    return replace(stop, latest_us=coast_us)


DRIVE = DeviceType(
    name="drive",
    meaning="A web drive: an unwind or a nip",
    fields=(*RAMP_FIELDS, _COAST, *_JOG_FIELDS, STORES),
    behaviour=_behaviour,
)
