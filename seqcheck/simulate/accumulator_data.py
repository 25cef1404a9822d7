"""What the physics needs to know of an accumulator, in numbers.

An accumulator before a rewind takes web up. It is the one behind an unwind in a mirror (plant/take_up.py), so the physics keeps the
room left in it where it keeps the web stored behind an unwind: the rewind makes room as the unwind makes web.
"""

from __future__ import annotations

from collections.abc import Sequence as Names
from dataclasses import dataclass

from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Accumulator, Device, MachineData, Sequence, Unwind
from seqcheck.plant.accumulator import BAND_STRETCH, FILLED_BAND
from seqcheck.plant.take_up import mirrored_device, mirrored_store, unwind_word
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange

OVERSPEED_SPREAD_PPM = (950_000, 1_050_000)
"""The overspeed that is reached, in millionths of the stated one; one draw a run. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AccumulatorData:
    """An accumulator between drives `unwind` and `line` (their numbers); contents in metres, `fill` a bit of the outputs.

    `takes_up`: it stands before a rewind, which is then `unwind`, and contents are of room. `rate_m_per_s2` is how fast the unwind
    changes its speed to hold a level. `highest_drop_m` and `least_drop_m`: the content by which the filled switch stays on. `keys`
    of its events by name: reach_filled, reach_running, clear_filled, sink_below_running.
    """

    name: str
    machine: int
    takes_up: bool
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

    @property
    def span_drives(self) -> tuple[int, int]:
        """The drives with which the web runs in the span before the accumulator and in the span after it."""
        return (self.line, self.unwind) if self.takes_up else (self.unwind, self.line)

    def web_m(self, content_m: float) -> float:
        """Web stored at a content: the content itself, or what is not room."""
        return self.capacity_m - content_m if self.takes_up else content_m


@dataclass(frozen=True, slots=True, kw_only=True)
class _Given:
    """What a file says of its accumulator; that of a rewind in the mirror."""

    device: Device
    store: Accumulator
    winding: Unwind
    takes_up: bool


def _given(device: Device, data: MachineData) -> _Given | None:
    store = data.accumulator
    if store is None:
        return None
    if device.type_name == "accumulator" and data.unwind is not None:
        return _Given(device=device, store=store, winding=data.unwind, takes_up=False)
    if device.type_name == "take_up" and data.rewind is not None and store.emptied_ratio is not None:
        mirrored = mirrored_store(store, store.emptied_ratio)
        return _Given(device=mirrored_device(device), store=mirrored, winding=data.rewind, takes_up=True)
    return None


def accumulator_data(sequence: Sequence, network: Network, drives: Names[str]) -> AccumulatorData | None:
    """The accumulator of `sequence`, or None where there is none or its numbers are not given. `drives`: their names, in order."""
    found = (_given(device, sequence.machine) for device in sequence.devices)
    given = next((part for part in found if part is not None), None)
    line = sequence.machine.line
    if given is None or line is None:
        return None
    device, store = given.device, given.store
    winding_drive, line_drive = str(device.value("unwind", str)), str(device.value("line", str))
    if winding_drive not in drives or line_drive not in drives:
        return None
    machine = network.machines[network.machine_index[device.name]]
    capacity_m = store.strands * store.stroke_m
    drops_m = _switch_drops_m(given, line.speed_m_per_s, _coast_us(sequence, winding_drive))
    return AccumulatorData(
        name=device.name,
        machine=machine.index,
        takes_up=given.takes_up,
        unwind=drives.index(winding_drive),
        line=drives.index(line_drive),
        fill=1 << network.output_names.index(str(device.value("fill", str))),
        strands=store.strands,
        capacity_m=capacity_m,
        running_m=capacity_m * store.running_ratio,
        filled_m=capacity_m * store.filled_ratio,
        excess_m_per_s=_excess_m_per_s(given, line.speed_m_per_s),
        rate_m_per_s2=line.speed_m_per_s / _seconds(given.winding.start.latest_us),
        least_drop_m=drops_m[0],
        highest_drop_m=drops_m[1],
        carriage_kg=store.carriage_kg or 0.0,
        keys={move.pending.key: unwind_word(move.label) for place in machine.places for move in place.timed},
    )


def _seconds(time_us: int | None) -> float:
    return max(time_us or 1, 1) / MICROSECONDS_PER_SECOND


def _excess_m_per_s(given: _Given, speed_m_per_s: float) -> float:
    """How much faster than the line the unwind runs to fill: from its overspeed, or else from the fill time."""
    if given.winding.overspeed_ratio > 0:
        return given.winding.overspeed_ratio * speed_m_per_s
    fill = given.device.value("fill_time", TimeRange)
    if fill is None or fill.latest_us is None:
        return speed_m_per_s
    rise_m = given.store.strands * given.store.stroke_m * (given.store.filled_ratio - given.store.running_ratio)
    return max(rise_m, 1e-6) / _seconds((fill.earliest_us + fill.latest_us) // 2)


def _coast_us(sequence: Sequence, drive: str) -> int:
    """The longest stop of the drive without its brake; 0 where the file does not say."""
    device = sequence.device(drive)
    return 0 if device is None else device.value("coast", int) or 0


def _switch_drops_m(given: _Given, speed_m_per_s: float, coast_us: int) -> tuple[float, float]:
    """The drops of content over which the filled switch may stay on, so that it clears within its band in any stop.

    While the line runs on and the unwind slows over T, the content falls by v t^2 / (2 T). The band is that of a braked stop, and
    `BAND_STRETCH` times as long without the brake, and where the unwind only runs a little slower than the line.
    """
    band = given.device.value("filled_band", TimeRange) or FILLED_BAND
    stop, band_s = given.winding.stop, _seconds_or_zero(band.latest_us)
    stretched_s = BAND_STRETCH * band_s
    least = speed_m_per_s * _seconds_or_zero(band.earliest_us) ** 2 / (2 * _seconds(stop.earliest_us))
    most = min(
        speed_m_per_s * band_s**2 / (2 * _seconds(stop.latest_us)),
        speed_m_per_s * stretched_s**2 / (2 * _seconds(max(coast_us, stop.latest_us or 0))),
        _sunk_m(given, speed_m_per_s, stretched_s),
    )
    return min(least, most), most


def _sunk_m(given: _Given, speed_m_per_s: float, time_s: float) -> float:
    """What the content sinks at least in a time in which the unwind slows down to run a little slower than the line."""
    excess_m_per_s = _excess_m_per_s(given, speed_m_per_s) * OVERSPEED_SPREAD_PPM[0] / 1_000_000
    slowing_s = excess_m_per_s * _seconds(given.winding.start.latest_us) / speed_m_per_s
    if time_s <= slowing_s:
        return excess_m_per_s * time_s**2 / (2 * slowing_s)
    return excess_m_per_s * (time_s - slowing_s / 2)


def _seconds_or_zero(time_us: int | None) -> float:
    return (time_us or 0) / MICROSECONDS_PER_SECOND
