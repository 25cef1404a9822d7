"""The accumulator before a rewind: it takes web up while the rewind stands, and gives it back to a rewind that runs faster.

The picture: an accumulator seen in a mirror. What an accumulator behind an unwind stores is web for the line; what this one stores
is *room* for the line's web. A cut-over uses the room up as a splice uses web up; `emptied` is here what `filled` is there, and the
rewind's overspeed makes room as the unwind's makes web. So its behaviour is the accumulator's, with the words turned round.
How far it is filled is not judged here: that is the take-up requirement's work.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Accumulator, Device, Entry, MachineData
from seqcheck.plant.accumulator import ACCUMULATOR
from seqcheck.plant.behaviour import Behaviour, Drive, Move, Position, Wire, contact_failures
from seqcheck.plant.device_entry import file_error
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_ENTRIES = {
    "empty": "fill",
    "rewind": "unwind",
    "emptied": "filled",
    "empty_time": "fill_time",
    "rise_time": "lower_time",
    "emptied_band": "filled_band",
}
"""Fields of this device, and the accumulator's fields that they are in the mirror; others are called the same."""

_WORDS = {
    "filling": "emptying",
    "full": "emptied",
    "lowering_full_switch": "rising_emptied_switch",
    "lowering": "rising",
    "resumed_filling": "resumed_emptying",
    "resumed_lowering": "resumed_rising",
    "drawn_full_switch": "taken_up_emptied_switch",
    "drawn": "taken_up",
    "drawn_above": "taken_up_below",
    "sink_below_running": "rise_above_running",
    "refilling": "draining",
    "reach_filled": "reach_emptied",
    "clear_filled": "clear_emptied",
    "release_filled": "release_emptied",
    "draw": "take_up",
    "starve": "stall",
    "lower": "rise",
    "refill": "drain",
    "fill": "empty",
    "filled": "emptied",
    "fed": "taken_away",
    "is_filled": "is_emptied",
    "is_drawn": "is_taken_up",
}
"""Names of positions, moves, drives, signals and facts of an accumulator, and what they are called here."""

_FIELDS = (
    Field(
        name="empty",
        kind=FieldKind.OUTPUT,
        meaning="output that asks for the emptied level at overspeed; off asks for the running level",
        required=True,
    ),
    Field(name="rewind", kind=FieldKind.NAME, meaning="the rewind that takes web out of it", required=True),
    Field(name="line", kind=FieldKind.NAME, meaning="the line_drive device that feeds it", required=True),
    Field(name="emptied", kind=FieldKind.SIGNAL, meaning="input that is on at the emptied level"),
    Field(name="running", kind=FieldKind.SIGNAL, meaning="input that is on at or below the running level"),
    Field(
        name="empty_time",
        kind=FieldKind.TIME_RANGE,
        meaning="from the running to the emptied level; derived from the machine data if not given",
    ),
    Field(
        name="rise_time",
        kind=FieldKind.TIME_RANGE,
        meaning="from the emptied to the running level; up to the latest empty time if not given",
    ),
    Field(
        name="emptied_band",
        kind=FieldKind.TIME_RANGE,
        meaning="how long the emptied switch stays on once the content rises in a braked stop, up to twice as long without the "
        "brake (counted while the line is at speed); 0..100 ms if not given",
    ),
)


_UNWIND_WORDS = {word: name for name, word in _WORDS.items()}


def unwind_word(name: str) -> str:
    """What a position, move, drive, signal or fact of this device is called in the mirror; others are called the same."""
    return _UNWIND_WORDS.get(name, name)


def mirrored_device(device: Device) -> Device:
    """The accumulator device that this one is in the mirror."""
    return replace(device, entries=tuple(_mirrored_entry(entry) for entry in device.entries))


def _mirrored_entry(entry: Entry) -> Entry:
    return replace(entry, name=_ENTRIES.get(entry.name, entry.name))


def mirrored_store(store: Accumulator, emptied_ratio: float) -> Accumulator:
    """Levels of room instead of levels of web: the room left at a level is what is missing to full."""
    return replace(
        store,
        running_ratio=1 - store.running_ratio,
        filled_ratio=1 - emptied_ratio,
        reserve_ratio=1 - store.filled_ratio,
    )


def _behaviour(device: Device, machine: MachineData) -> Behaviour:
    """The mirrored accumulator's positions; only its contacts fail.

    Raises SequenceFileError if the empty time is neither given nor derivable.
    """
    turned = ACCUMULATOR.behaviour(mirrored_device(device), _mirrored_machine(device, machine))
    wires = tuple(Wire(role=_word(wire.role), signal=wire.signal) for wire in turned.wires)
    return replace(
        turned,
        positions=tuple(_position(position) for position in turned.positions),
        facts=tuple(_word(fact) for fact in turned.facts),
        drives=tuple(Drive(role=_word(drive.role), condition=drive.condition) for drive in turned.drives),
        wires=wires,
        failures=contact_failures(wires),
    )


def _mirrored_machine(device: Device, machine: MachineData) -> MachineData:
    store = machine.accumulator
    emptied_ratio = None if store is None else store.emptied_ratio
    if device.value("empty_time", TimeRange) is None:
        _require_numbers(device, machine)
    if store is None or emptied_ratio is None:
        return replace(machine, unwind=machine.rewind, accumulator=None)
    return replace(machine, unwind=machine.rewind, accumulator=mirrored_store(store, emptied_ratio))


def _require_numbers(device: Device, machine: MachineData) -> None:
    store, rewind = machine.accumulator, machine.rewind
    expected = f"a field 'empty_time' of {device.name}, or machine data that give it"
    if store is None or store.emptied_ratio is None or rewind is None or machine.line is None:
        found = "machine data without line, rewind, or accumulator with an emptied level"
        raise file_error(device, "empty_time", expected=expected, found=found)
    if rewind.overspeed_ratio <= 0 or store.emptied_ratio >= store.running_ratio:
        found = "machine data without overspeed, or emptied at or above running"
        raise file_error(device, "empty_time", expected=expected, found=found)


def _word(name: str) -> str:
    return _WORDS.get(name, name)


def _position(position: Position) -> Position:
    return replace(
        position,
        name=_word(position.name),
        facts=frozenset(_word(fact) for fact in position.facts),
        signals=frozenset(_word(signal) for signal in position.signals),
        moves=tuple(_move(move) for move in position.moves),
    )


def _move(move: Move) -> Move:
    when = tuple((_word(drive), value) for drive, value in move.when)
    return replace(move, name=_word(move.name), to=_word(move.to), when=when)


TAKE_UP = DeviceType(
    name="take_up",
    meaning="The accumulator between line and rewind, which takes web up",
    fields=_FIELDS,
    behaviour=_behaviour,
)
