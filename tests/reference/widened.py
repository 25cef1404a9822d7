"""A copy of a sequence with every time rounded outward to whole ticks, so that a search in ticks is exact for it.

Ranges grow at both ends; single times (timers, watchdogs, step times, discrepancy, slow) are rounded up.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

from seqcheck.language.expression import StepTime, TimerCall
from seqcheck.language.field import FieldKind
from seqcheck.language.sequence import Action, Circuit, Device, Entry, Sequence, Watchdog
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.quantities.time import TimeRange

Part = TypeVar("Part")

_TIMES_BY_TYPE: dict[type, str] = {
    StepTime: "limit_us",
    TimerCall: "preset_us",
    Action: "time_us",
    Circuit: "discrepancy_us",
    Watchdog: "limit_us",
}
"""The fields that hold a single time."""


def widened(sequence: Sequence, tick_us: int) -> Sequence:
    """The copy, with ticks of `tick_us` microseconds."""
    return _part(sequence, tick_us)


def _up(time_us: int, tick_us: int) -> int:
    return -(-time_us // tick_us) * tick_us


def _range(within: TimeRange, tick_us: int) -> TimeRange:
    latest_us = None if within.latest_us is None else _up(within.latest_us, tick_us)
    return TimeRange(within.earliest_us // tick_us * tick_us, latest_us)


def _part(part: Part, tick_us: int) -> Part:
    """The part with every range and single time in it rounded; parts without any stay the same objects."""
    if isinstance(part, TimeRange):
        return _range(part, tick_us)  # type: ignore[return-value]
    if isinstance(part, tuple):
        return tuple(_part(item, tick_us) for item in part)  # type: ignore[return-value]
    if isinstance(part, Device):
        return _device(part, tick_us)  # type: ignore[return-value]
    if not is_dataclass(part) or isinstance(part, type):
        return part
    return _members(part, tick_us)


def _members(part: Part, tick_us: int) -> Part:
    assert is_dataclass(part)
    single = _TIMES_BY_TYPE.get(type(part))
    changed = {}
    for member in fields(part):
        before = getattr(part, member.name)
        is_time = member.name == single and before is not None
        after = _up(before, tick_us) if is_time else _part(before, tick_us)
        if after != before:
            changed[member.name] = after
    return replace(part, **changed) if changed else part  # type: ignore[type-var]


def _device(device: Device, tick_us: int) -> Device:
    """Of a device's plain numbers only its type knows which are times."""
    kinds = {}
    for given in DEVICE_TYPES[device.type_name].fields:
        kinds[given.name] = given.kind
        kinds.update((f"{given.name}.{member.name}", member.kind) for member in given.members)
    return replace(device, entries=tuple(_entry(entry, kinds[entry.name], tick_us) for entry in device.entries))


def _entry(entry: Entry, kind: FieldKind, tick_us: int) -> Entry:
    if kind is FieldKind.TIME:
        assert isinstance(entry.value, int)
        return replace(entry, value=_up(entry.value, tick_us))
    return replace(entry, value=_part(entry.value, tick_us))
