"""Reading a device's values: required ones, defaults, and the error that a contradiction raises."""

from __future__ import annotations

from typing import TypeVar, cast

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.expression import And, Expression, Name
from seqcheck.language.field import Signal
from seqcheck.language.sequence import Device
from seqcheck.plant.behaviour import Drive, Wire
from seqcheck.quantities.time import TimeRange

Value = TypeVar("Value")


def place_of(device: Device, name: str) -> Place:
    """Where entry `name` stands, or the device where the file has no such entry."""
    entry = device.entry(name)
    return device.place if entry is None else entry.place


def file_error(device: Device, name: str, *, expected: str, found: str) -> SequenceFileError:
    """The error for a value that contradicts another, at the place of entry `name`."""
    return SequenceFileError([Problem(place=place_of(device, name), expected=expected, found=found)])


def required(device: Device, name: str, kind: type[Value]) -> Value:
    """The value of entry `name`.

    Raises SequenceFileError if the file has none.
    """
    value = device.value(name, kind)
    if value is None:
        raise file_error(device, name, expected=f"a field {name!r} of {device.name}", found="none")
    return value


def latest_us(within: TimeRange) -> int:
    """The later end of a range that the reader has made, which always has one. Microseconds."""
    assert within.latest_us is not None, "a time range in a file has two ends"
    return within.latest_us


def moving_time(device: Device, name: str) -> TimeRange:
    """The required time range `name` of a motion, which must be able to take time.

    Raises SequenceFileError if its latest time is zero: a loop of such motions would stop time.
    """
    within = required(device, name, TimeRange)
    if latest_us(within) == 0:
        raise file_error(device, name, expected="a latest time above zero", found="0 ms")
    return within


def up_to(within: TimeRange) -> TimeRange:
    """The remaining time of a motion begun at an unknown place: anything up to the whole of it."""
    return TimeRange(0, within.latest_us)


def output_condition(device: Device, name: str) -> Expression:
    """The output in entry `name` is on and, where the device needs energy, so is that energy."""
    place = place_of(device, name)
    output = Name(place, required(device, name, str))
    energy = device.value("energy", str)
    if energy is None:
        return output
    return And(place, (output, Name(place_of(device, "energy"), f"{energy}.is_on")))


def output_drive(device: Device, name: str) -> Drive:
    """The drive of the output in entry `name`; its role is the entry's name."""
    return Drive(role=name, condition=output_condition(device, name))


def condition_drive(device: Device, name: str, *, role: str | None = None) -> Drive:
    """The drive of the required condition in entry `name`; its role is the entry's name if not given.

    Raises SequenceFileError if the file has none.
    """
    entry = device.entry(name)
    if entry is None:
        raise file_error(device, name, expected=f"a field {name!r} of {device.name}", found="none")
    return Drive(role=role or name, condition=cast(Expression, entry.value))


def solenoid_conditions(device: Device) -> tuple[tuple[tuple[str, bool], ...], tuple[tuple[str, bool], ...]]:
    """What one solenoid, or two (`opposite`), send out and back; with two nothing is sent while both or neither is on."""
    if device.value("opposite", str) is None:
        return (("output", True),), (("output", False),)
    return (("output", True), ("opposite", False)), (("output", False), ("opposite", True))


def wires_of(device: Device, **entries: str) -> tuple[Wire, ...]:
    """The wires of the signals that the file gives: role=name of the entry."""
    signals = [(role, device.value(entry, Signal)) for role, entry in entries.items()]
    return tuple(Wire(role=role, signal=signal) for role, signal in signals if signal is not None)
