"""What the physics of a run needs to know of a sequence: its drives, accumulator, rolls and web, in numbers.

Where a file does not give a number, the default is here and is said in its field's meaning (reader/machine_data.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.machine import Machine
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Device, MachineData, Sequence, Unwind
from seqcheck.plant.decurler import decurl_law
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange
from seqcheck.simulate.accumulator_data import AccumulatorData, accumulator_data
from seqcheck.simulate.decurler_data import DecurlerData, decurler_data
from seqcheck.simulate.drive_data import DriveData, drive_data
from seqcheck.simulate.guide_data import GuideData, guide_data

SPAN_M = 2.0
"""Free web before and after an accumulator, each, where the file gives none. Common practice, no source."""
DRIVE_TYPES = ("line_drive", "drive", "rewind")


@dataclass(frozen=True, slots=True, kw_only=True)
class RollData:
    """A roll on drive `drive`. `machine` is its device of type roll or None; lengths in metres.

    `low_m` is the least and the greatest length left at which it tells that it ends soon.
    """

    name: str
    drive: int
    machine: int | None
    outside_m: float
    core_m: float
    caliper_m: float
    low_m: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WebData:
    """The web's tension at rest and its limit, its spans, and what sets the roll's inertia; `share` is not compensated."""

    run_n: float
    most_n: float | None
    span_m: float
    width_m: float
    grammage_kg_per_m2: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PhysicalData:
    """Everything the physics needs; `speed_m_per_s` is the line's. `missing` says what is not worked out, and why.

    `wound`: the roll on a rewind. It counts as full where its inertia pulls: when it is changed no device tells.
    """

    speed_m_per_s: float
    drives: tuple[DriveData, ...]
    accumulator: AccumulatorData | None
    rolls: tuple[RollData, ...]
    web: WebData | None
    missing: tuple[str, ...]
    decurlers: tuple[DecurlerData, ...] = ()
    guides: tuple[GuideData, ...] = ()
    wound: RollData | None = None


def physical_data(sequence: Sequence, network: Network) -> PhysicalData | None:
    """The numbers of `sequence`, or None where it has no drive or no line speed: then nothing moves that could be shown."""
    machine = sequence.machine
    # Lines first: an unwind that starts looks at its line.
    devices = sorted(
        (device for device in sequence.devices if device.type_name in DRIVE_TYPES),
        key=lambda device: DRIVE_TYPES.index(device.type_name),
    )
    if machine.line is None or not devices:
        return None
    drives = tuple(drive_data(device.name, _machine(network, device.name)) for device in devices)
    accumulator = accumulator_data(sequence, network, [drive.name for drive in drives])
    rolls = _rolls(sequence, network, drives, accumulator)
    web = None if accumulator is None else _web(sequence, winding_of(machine, accumulator))
    return PhysicalData(
        speed_m_per_s=machine.line.speed_m_per_s,
        drives=drives,
        accumulator=accumulator,
        rolls=rolls,
        web=web,
        missing=tuple(_missing(accumulator, rolls, web)),
        decurlers=_decurlers(sequence, network, rolls),
        guides=_guides(sequence, network, [drive.name for drive in drives]),
        wound=_wound(machine, accumulator),
    )


def _missing(
    accumulator: AccumulatorData | None, rolls: tuple[RollData, ...], web: WebData | None
) -> Iterator[str]:
    if accumulator is None:
        yield "no accumulator: its content and the tensions of the web are not worked out"
    elif web is None:
        yield "web tension run is not given: tensions are not worked out"
    if accumulator is not None and accumulator.takes_up:
        yield "when the roll on the rewind is changed no device tells: its inertia counts as that of a full roll"
    elif not rolls:
        yield "the sections roll and web caliper are not given: diameters are not worked out"


def _machine(network: Network, name: str) -> Machine:
    return network.machines[network.machine_index[name]]


# -- rolls and web -------------------------------------------------------------------------------------------


def _rolls(
    sequence: Sequence,
    network: Network,
    drives: tuple[DriveData, ...],
    accumulator: AccumulatorData | None,
) -> tuple[RollData, ...]:
    data = sequence.machine
    if data.roll is None or data.web is None or not data.web.caliper_mm or data.line is None:
        return ()
    names = [drive.name for drive in drives]
    devices = [
        device
        for device in sequence.devices
        if device.type_name == "roll" and device.value("unwind", str) in names
    ]
    found = [
        (
            device.name,
            names.index(str(device.value("unwind", str))),
            network.machine_index[device.name],
            device.value("remaining", TimeRange),
        )
        for device in devices
    ]
    if not found and accumulator is not None and not accumulator.takes_up:
        found = [(f"{names[accumulator.unwind]} roll", accumulator.unwind, None, None)]  # type: ignore[list-item]
    return tuple(
        RollData(
            name=name,
            drive=drive,
            machine=machine,
            outside_m=data.roll.outside_mm / 1000,
            core_m=data.roll.core_mm / 1000,
            caliper_m=data.web.caliper_mm / 1000,
            low_m=None if remaining is None else _lengths_m(remaining, data.line.speed_m_per_s),
        )
        for name, drive, machine, remaining in found
    )


def _guides(sequence: Sequence, network: Network, drives: list[str]) -> tuple[GuideData, ...]:
    """The web guides; without a drive of its own, one guides the web of the first unwind, else that of the line."""
    unwinds = [device.name for device in sequence.devices if device.type_name == "drive"]
    own = [*unwinds, *drives][0]
    return tuple(
        guide_data(device, _machine(network, device.name), drives.index(_one_of(drives, device, own)))
        for device in sequence.devices
        if device.type_name == "web_guide"
    )


def _one_of(drives: list[str], device: Device, default: str) -> str:
    named = device.value("drive", str)
    return named if named in drives else default


def _decurlers(sequence: Sequence, network: Network, rolls: tuple[RollData, ...]) -> tuple[DecurlerData, ...]:
    """The decurlers whose roll has a diameter."""
    names = [roll.name for roll in rolls]
    found = []
    for device in sequence.devices:
        law = decurl_law(device, sequence.machine) if device.type_name == "decurler" else None
        roll = device.value("roll", str) or next(iter(names), None)
        if law is not None and roll in names:
            rate_mm_per_s = (device.value("rate", float) or 0.0) * 1000
            machine = _machine(network, device.name)
            found.append(decurler_data(device.name, machine, law, rate_mm_per_s, names.index(roll)))
    return tuple(found)


def _lengths_m(remaining: TimeRange, speed_m_per_s: float) -> tuple[float, float]:
    least_m = speed_m_per_s * _seconds_or_zero(remaining.earliest_us)
    return least_m, speed_m_per_s * max(_seconds_or_zero(remaining.latest_us), least_m / speed_m_per_s)


def _seconds_or_zero(time_us: int | None) -> float:
    return (time_us or 0) / MICROSECONDS_PER_SECOND


def _wound(data: MachineData, accumulator: AccumulatorData | None) -> RollData | None:
    """The roll on the rewind of an accumulator."""
    if accumulator is None or not accumulator.takes_up or data.roll is None or data.web is None or not data.web.caliper_mm:
        return None
    return RollData(
        name="roll on the rewind",
        drive=accumulator.unwind,
        machine=None,
        outside_m=data.roll.outside_mm / 1000,
        core_m=data.roll.core_mm / 1000,
        caliper_m=data.web.caliper_mm / 1000,
        low_m=None,
    )


def winding_of(data: MachineData, accumulator: AccumulatorData) -> Unwind:
    """The section of the winding at the accumulator: unwind or rewind."""
    winding = data.rewind if accumulator.takes_up else data.unwind
    assert winding is not None, "an accumulator without its winding has no data"
    return winding


def _web(sequence: Sequence, winding: Unwind) -> WebData | None:
    web = sequence.machine.web
    if web is None or web.tension_run_n is None:
        return None
    return WebData(
        run_n=web.tension_run_n,
        most_n=web.tension_most_n,
        span_m=SPAN_M if web.span_mm is None else web.span_mm / 1000,
        width_m=(web.width_mm or 0.0) / 1000,
        grammage_kg_per_m2=(web.grammage_g_per_m2 or 0.0) / 1000,
        share=1.0 - compensation(sequence, winding),
    )


def compensation(sequence: Sequence, winding: Unwind | None) -> float:
    """The share of the roll's inertia that the drive takes over: the winding's, or a tension requirement's, or all of it."""
    if winding is not None and winding.compensation_ratio is not None:
        return winding.compensation_ratio
    stated = [
        part.value("compensation", float) or 0.0
        for part in sequence.requirements
        if part.kind == "tension"
    ]
    return min(stated, default=1.0)
