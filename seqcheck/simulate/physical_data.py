"""What the physics of a run needs to know of a sequence: its drives, accumulator, rolls and web, in numbers.

Where a file does not give a number, the default is here and is said in its field's meaning (reader/machine_data.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.kernel.machine import Machine, Place, TimedMove
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Accumulator, Device, MachineData, Sequence
from seqcheck.plant.travel import RESUMED
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange

SPAN_M = 2.0
"""Free web before and after an accumulator, each, where the file gives none. Common practice, no source."""
SWITCH_BAND = TimeRange(0, 100_000)
"""As the accumulator's `filled_band` where the file gives none."""
DRIVE_TYPES = ("line_drive", "drive")


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


@dataclass(frozen=True, slots=True, kw_only=True)
class AccumulatorData:
    """An accumulator between drives `unwind` and `line` (their numbers); contents in metres, `fill` a bit of the outputs.

    `rate_m_per_s2` is how fast the unwind changes its speed to hold a level. `highest_drop_m` and `least_drop_m`: the content by
    which the filled switch stays on. `keys` of its events by name: reach_filled, reach_running, clear_filled.
    """

    name: str
    machine: int
    unwind: int
    line: int
    fill: int
    strands: int
    capacity_m: float
    running_m: float
    filled_m: float
    excess_m_per_s: float
    rate_m_per_s2: float
    least_drop_m: float
    highest_drop_m: float
    carriage_kg: float
    keys: dict[int, str]


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
    """Everything the physics needs; `speed_m_per_s` is the line's. `missing` says what is not worked out, and why."""

    speed_m_per_s: float
    drives: tuple[DriveData, ...]
    accumulator: AccumulatorData | None
    rolls: tuple[RollData, ...]
    web: WebData | None
    missing: tuple[str, ...]


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
    drives = tuple(_drive(device.name, _machine(network, device.name)) for device in devices)
    accumulator = _accumulator(sequence, network, drives)
    rolls = _rolls(sequence, network, drives, accumulator)
    web = _web(sequence) if accumulator is not None else None
    return PhysicalData(
        speed_m_per_s=machine.line.speed_m_per_s,
        drives=drives,
        accumulator=accumulator,
        rolls=rolls,
        web=web,
        missing=_missing(accumulator, rolls, web),
    )


def _missing(
    accumulator: AccumulatorData | None, rolls: tuple[RollData, ...], web: WebData | None
) -> tuple[str, ...]:
    found = []
    if accumulator is None:
        found.append("no accumulator: its content and the tensions of the web are not worked out")
    elif web is None:
        found.append("web tension run is not given: tensions are not worked out")
    if not rolls:
        found.append("the sections roll and web caliper are not given: diameters are not worked out")
    return tuple(found)


def _machine(network: Network, name: str) -> Machine:
    return network.machines[network.machine_index[name]]


# -- drives --------------------------------------------------------------------------------------------------


def _drive(name: str, machine: Machine) -> DriveData:
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


# -- accumulator ---------------------------------------------------------------------------------------------


def _accumulator(
    sequence: Sequence, network: Network, drives: tuple[DriveData, ...]
) -> AccumulatorData | None:
    device = next((part for part in sequence.devices if part.type_name == "accumulator"), None)
    data = sequence.machine
    names = [drive.name for drive in drives]
    if device is None or data.accumulator is None or data.line is None or data.unwind is None:
        return None
    unwind, line = str(device.value("unwind", str)), str(device.value("line", str))
    if unwind not in names or line not in names:
        return None
    store = data.accumulator
    machine = _machine(network, device.name)
    capacity_m = store.strands * store.stroke_m
    drops_m = _switch_drops_m(device, data)
    return AccumulatorData(
        name=device.name,
        machine=machine.index,
        unwind=names.index(unwind),
        line=names.index(line),
        fill=1 << network.output_names.index(str(device.value("fill", str))),
        strands=store.strands,
        capacity_m=capacity_m,
        running_m=capacity_m * store.running_ratio,
        filled_m=capacity_m * store.filled_ratio,
        excess_m_per_s=_excess_m_per_s(device, data, store),
        rate_m_per_s2=data.line.speed_m_per_s / _seconds(data.unwind.start.latest_us),
        least_drop_m=drops_m[0],
        highest_drop_m=drops_m[1],
        carriage_kg=store.carriage_kg or 0.0,
        keys={move.pending.key: move.label for place in machine.places for move in place.timed},
    )


def _seconds(time_us: int | None) -> float:
    return max(time_us or 1, 1) / MICROSECONDS_PER_SECOND


def _excess_m_per_s(device: Device, data: MachineData, store: Accumulator) -> float:
    """How much faster than the line the unwind runs to fill: from its overspeed, or else from the fill time."""
    assert data.line is not None and data.unwind is not None
    if data.unwind.overspeed_ratio > 0:
        return data.unwind.overspeed_ratio * data.line.speed_m_per_s
    fill = device.value("fill_time", TimeRange)
    if fill is None or fill.latest_us is None:
        return data.line.speed_m_per_s
    rise_m = store.strands * store.stroke_m * (store.filled_ratio - store.running_ratio)
    return max(rise_m, 1e-6) / _seconds((fill.earliest_us + fill.latest_us) // 2)


def _switch_drops_m(device: Device, data: MachineData) -> tuple[float, float]:
    """The drops of content over which the filled switch may stay on, so that it clears within its band in any ramp.

    While the line runs on and the unwind slows over T, the content falls by v t^2 / (2 T).
    """
    assert data.line is not None and data.unwind is not None
    band = device.value("filled_band", TimeRange) or SWITCH_BAND
    speed, stop = data.line.speed_m_per_s, data.unwind.stop
    least = speed * _seconds_or_zero(band.earliest_us) ** 2 / (2 * _seconds(stop.earliest_us))
    most = speed * _seconds_or_zero(band.latest_us) ** 2 / (2 * _seconds(stop.latest_us))
    return min(least, most), most


def _seconds_or_zero(time_us: int | None) -> float:
    return (time_us or 0) / MICROSECONDS_PER_SECOND


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
    if not found and accumulator is not None:
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


def _lengths_m(remaining: TimeRange, speed_m_per_s: float) -> tuple[float, float]:
    least_m = speed_m_per_s * _seconds_or_zero(remaining.earliest_us)
    return least_m, speed_m_per_s * max(_seconds_or_zero(remaining.latest_us), least_m / speed_m_per_s)


def _web(sequence: Sequence) -> WebData | None:
    web, unwind = sequence.machine.web, sequence.machine.unwind
    if web is None or unwind is None or web.tension_run_n is None:
        return None
    return WebData(
        run_n=web.tension_run_n,
        most_n=web.tension_most_n,
        span_m=SPAN_M if web.span_mm is None else web.span_mm / 1000,
        width_m=(web.width_mm or 0.0) / 1000,
        grammage_kg_per_m2=(web.grammage_g_per_m2 or 0.0) / 1000,
        share=1.0 - compensation(sequence),
    )


def compensation(sequence: Sequence) -> float:
    """The share of the roll's inertia that the drive takes over: the unwind's, or a tension requirement's, or all of it."""
    unwind = sequence.machine.unwind
    if unwind is not None and unwind.compensation_ratio is not None:
        return unwind.compensation_ratio
    stated = [
        part.value("compensation", float) or 0.0
        for part in sequence.requirements
        if part.kind == "tension"
    ]
    return min(stated, default=1.0)
