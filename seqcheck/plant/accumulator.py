"""The accumulator as the sequence knows it: level switches, and time ranges for its content to rise and sink.

The picture: while the unwind feeds the line the content stays; with `fill` the unwind runs faster and the
content rises. Without the unwind the line draws it down, to a level nobody knows: it may pass the running level at any time or
never. With the unwind back it settles or refills.
How far it is drawn is not judged here: that is the accumulator requirement's work.
"""

from __future__ import annotations

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import Name, Or
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Move, Position, contact_failures
from seqcheck.plant.device_entry import file_error, output_drive, place_of, required, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_FILL_SPREAD = 0.9
"""A derived fill time ranges from 0.9 of the computed time to the computed time over 0.9.

Common practice, no source.
"""

FILLED_BAND = TimeRange(0, 100_000)
"""How long the filled switch stays on once the content sinks, unless the file says otherwise."""

BAND_STRETCH = 2
"""How many times as long it may stay on where the unwind stops without its brake, in up to four times the time (drive.py).

Source: the content falls by v t^2 / (2 T) in a stop of T, so the same fall takes sqrt(4) times as long (worked by hand).
"""

_LEVEL = frozenset({"is_running_level"})
_DRAWN = frozenset({"is_drawn"})
_BOTH, _RUNNING = frozenset({"filled", "running"}), frozenset({"running"})

_FIELDS = (
    Field(
        name="fill",
        kind=FieldKind.OUTPUT,
        meaning="output that asks for the filled level at overspeed; off asks for the running level",
        required=True,
    ),
    Field(
        name="unwind",
        kind=FieldKind.NAME,
        meaning="the drive device that feeds the accumulator",
        required=True,
    ),
    Field(
        name="line", kind=FieldKind.NAME, meaning="the line_drive device that draws from it", required=True
    ),
    Field(name="filled", kind=FieldKind.SIGNAL, meaning="input that is on at the filled level"),
    Field(name="running", kind=FieldKind.SIGNAL, meaning="input that is on at or above the running level"),
    Field(
        name="fill_time",
        kind=FieldKind.TIME_RANGE,
        meaning="from the running to the filled level; derived from the machine data if not given",
    ),
    Field(
        name="lower_time",
        kind=FieldKind.TIME_RANGE,
        meaning="from the filled to the running level; up to the latest fill time if not given",
    ),
    Field(
        name="filled_band",
        kind=FieldKind.TIME_RANGE,
        meaning="how long the filled switch stays on once the content sinks in a braked stop, up to twice as long without the "
        "brake (counted while the line is at speed); 0..100 ms if not given",
    ),
)


def _behaviour(device: Device, machine: MachineData) -> Behaviour:
    """The accumulator's positions; only its contacts fail.

    Raises SequenceFileError if the fill time is neither given nor derivable.
    """
    fill = device.value("fill_time", TimeRange) or _derived_fill_time(device, machine)
    rise = _rise_time(fill, machine)
    lower = device.value("lower_time", TimeRange) or up_to(fill)
    band = _stretched(device.value("filled_band", TimeRange) or FILLED_BAND)
    wires = wires_of(device, filled="filled", running="running")
    return Behaviour(
        device=device.name,
        positions=(*_fed_positions(fill, lower, band), *_drawn_positions(rise, band)),
        initial="running",
        facts=("is_filled", "is_running_level", "is_drawn"),
        drives=_drives(device),
        wires=wires,
        failures=contact_failures(wires),
    )


def _stretched(band: TimeRange) -> TimeRange:
    """The band of any stop, also of one without its brake."""
    return TimeRange(band.earliest_us, None if band.latest_us is None else BAND_STRETCH * band.latest_us)


def _derived_fill_time(device: Device, machine: MachineData) -> TimeRange:
    """The time in which overspeed lifts the content from the running to the filled level.

    Source: stored web = strands x carriage travel; excess speed = line speed x overspeed (continuity).
    """
    store, line, unwind = machine.accumulator, machine.line, machine.unwind
    if store is None or line is None or unwind is None:
        raise _no_fill_time(device, "machine data without accumulator, line or unwind")
    excess_m_per_s = line.speed_m_per_s * unwind.overspeed_ratio
    web_m = (store.filled_ratio - store.running_ratio) * store.stroke_m * store.strands
    if excess_m_per_s <= 0 or web_m <= 0:
        raise _no_fill_time(device, "machine data without overspeed, or filled at or below running")
    time_us = web_m / excess_m_per_s * 1_000_000
    return TimeRange(round(time_us * _FILL_SPREAD), round(time_us / _FILL_SPREAD))


def _rise_time(fill: TimeRange, machine: MachineData) -> TimeRange:
    """From somewhere below the running level up to it: at most from the reserve, below which no draw may take the content."""
    store = machine.accumulator
    if store is None or fill.latest_us is None or store.filled_ratio <= store.running_ratio:
        return up_to(fill)
    share = (store.running_ratio - store.reserve_ratio) / (store.filled_ratio - store.running_ratio)
    return TimeRange(0, round(fill.latest_us * share)) if share > 0 else up_to(fill)


def _no_fill_time(device: Device, found: str) -> SequenceFileError:
    expected = f"a field 'fill_time' of {device.name}, or machine data that give it"
    return file_error(device, "fill_time", expected=expected, found=found)


def _drives(device: Device) -> tuple[Drive, ...]:
    """Fill; web comes in (`fed`); the content does not sink (`supplied`); the line takes what it takes at speed (`pulled`)."""
    unwind = Name(place_of(device, "unwind"), f"{required(device, 'unwind', str)}.is_at_speed")
    line = Name(place_of(device, "line"), f"{required(device, 'line', str)}.is_stopped")
    pulled = Name(place_of(device, "line"), f"{required(device, 'line', str)}.is_at_speed")
    return (
        output_drive(device, "fill"),
        Drive(role="fed", condition=unwind),
        Drive(role="supplied", condition=Or(unwind.place, (unwind, line))),
        Drive(role="pulled", condition=pulled),
    )


def _draw(to: str) -> Move:
    """The line draws and nothing comes in."""
    return Move(name="draw", to=to, when=(("fed", False), ("supplied", False)))


def _starve(to: str) -> Move:
    """Nothing comes in: what rose stops at a level nobody knows, what was held is no longer held."""
    return Move(name="starve", to=to, when=(("fed", False),))


_SINK = Move(name="sink_below_running", to="drawn", when=(("fed", False), ("supplied", False)), after=TimeRange(0, None))
"""While the line draws, the content passes the running level: at once, later or never."""


def _clears(to: str, band: TimeRange) -> tuple[Move, Move]:
    """The filled switch goes off; while the line is not at speed the content may sink as slowly as it likes, or not at all."""
    return (
        Move(name="clear_filled", to=to, when=(("pulled", True),), after=band),
        Move(name="release_filled", to=to, when=(("pulled", False),), after=TimeRange(band.earliest_us, None)),
    )


def _asked(name: str, to: str, *, fill: bool) -> Move:
    return Move(name=name, to=to, when=(("fill", fill), ("fed", True)))


def _fed_positions(fill: TimeRange, lower: TimeRange, band: TimeRange) -> tuple[Position, ...]:
    """At or above the running level."""
    start, lowered = (
        _asked("fill", "filling", fill=True),
        Move(name="reach_running", to="running", after=lower),
    )
    sink = _asked("lower", "lowering_full_switch", fill=False)
    refill = _asked("fill", "resumed_filling", fill=True)
    filled = frozenset({"is_filled"}) | _LEVEL
    return (
        Position(name="running", facts=_LEVEL, signals=_RUNNING, moves=(_starve("drawn_above"), start), is_rest=True),
        _filling("filling", fill),
        Position(
            name="full", facts=filled, signals=_BOTH, moves=(_draw("drawn_full_switch"), sink), is_rest=True
        ),
        Position(
            name="lowering_full_switch",
            facts=_LEVEL,
            signals=_BOTH,
            moves=(*_clears("lowering", band), lowered, _draw("drawn_full_switch"), refill),
        ),
        Position(name="lowering", facts=_LEVEL, signals=_RUNNING, moves=(lowered, _starve("drawn_above"), refill)),
        _filling("resumed_filling", up_to(fill)),
        _resumed_lowering(up_to(lower), refill),
    )


def _filling(name: str, within: TimeRange) -> Position:
    """Content rises from a level at or above running."""
    reach = Move(name="reach_filled", to="full", after=within)
    lower = _asked("lower", "resumed_lowering", fill=False)
    return Position(name=name, facts=_LEVEL, signals=_RUNNING, moves=(reach, _starve("drawn_above"), lower))


def _resumed_lowering(within: TimeRange, refill: Move) -> Position:
    """Content sinks from a level between running and filled."""
    reach = Move(name="reach_running", to="running", after=within)
    starve = _starve("drawn_above")
    return Position(name="resumed_lowering", facts=_LEVEL, signals=_RUNNING, moves=(reach, starve, refill))


def _drawn_positions(rise: TimeRange, band: TimeRange) -> tuple[Position, ...]:
    """At a level nobody knows, above or below the running level, until the unwind is back."""
    up = _asked("refill", "resumed_filling", fill=True), _asked("settle", "resumed_lowering", fill=False)
    refill, settle = _asked("refill", "refilling", fill=True), _asked("settle", "settling", fill=False)
    passed = Move(name="reach_running", to="filling", after=rise)
    settled = Move(name="reach_running", to="running", after=rise)
    above = _DRAWN | _LEVEL
    return (
        Position(name="drawn_full_switch", facts=above, signals=_BOTH, moves=(*_clears("drawn_above", band), *up)),
        Position(name="drawn_above", facts=above, signals=_RUNNING, moves=(_SINK, *up), is_rest=True),
        Position(name="drawn", facts=_DRAWN, moves=(refill, settle), is_rest=True),
        Position(name="refilling", facts=_DRAWN, moves=(passed, _starve("drawn"), settle)),
        Position(name="settling", facts=_DRAWN, moves=(settled, _starve("drawn"), refill)),
    )


ACCUMULATOR = DeviceType(
    name="accumulator",
    meaning="The accumulator (festoon) between unwind and line",
    fields=_FIELDS,
    behaviour=_behaviour,
)
