"""Widened copies of the bundled sequences, in which also the times that device types work out are whole ticks.

An accumulator works out its fill time, and from it the time of a refill from the reserve; a slow cylinder's switch has a band
that is longer in proportion; a decurler and a web guide have ways and rates. The copy states such a time, rounded outward, its
latest end moved up further until all times of the device are whole ticks. A second copy is without the delays of signals.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from reference.widened import widened

from seqcheck.language.field import FieldValue, FreeState, Signal
from seqcheck.language.sequence import Device, Entry, Sequence
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.plant.decurler import RATE_SPREAD
from seqcheck.quantities.time import TimeRange

FILLS = {"accumulator": ("fill_time", "filling"), "take_up": ("empty_time", "emptying")}
"""Types that work out times from one: the field that states it, and the position that it is the time of."""
NO_WAY_MM = 1e-9
"""A way that takes less than a microsecond."""
MOST_STEPS = 100
"""Ticks that a time may be moved up."""


def without_delays(sequence: Sequence) -> Sequence:
    """The copy in which every signal is seen at once, as spin's model has no delays."""
    return replace(sequence, devices=tuple(_undelayed(device) for device in sequence.devices))


def _undelayed(device: Device) -> Device:
    entries = tuple(replace(entry, value=_seen_at_once(entry.value)) for entry in device.entries)
    return replace(device, entries=entries)


def _seen_at_once(value: FieldValue) -> FieldValue:
    if isinstance(value, Signal):
        return replace(value, delay=None)
    if not isinstance(value, tuple) or not any(isinstance(part, FreeState) for part in value):
        return value
    states = [part for part in value if isinstance(part, FreeState)]
    return tuple(
        replace(state, signals=tuple(replace(signal, delay=None) for signal in state.signals)) for state in states
    )


def whole_ticks(sequence: Sequence, tick_us: int) -> Sequence:
    """The copy with ticks of `tick_us` microseconds.

    Raises ValueError if the times of a device cannot be made whole ticks.
    """
    copy = widened(sequence, tick_us)
    return replace(copy, devices=tuple(_in_whole_ticks(device, copy, tick_us) for device in copy.devices))


def _in_whole_ticks(device: Device, sequence: Sequence, tick_us: int) -> Device:
    for step in range(MOST_STEPS):
        candidate = _moved_up(device, sequence, tick_us, step)
        if all(_is_whole(within, tick_us) for within in _times(_behaviour(candidate, sequence))):
            return candidate
    raise ValueError(f"the times of {device.name} cannot be made multiples of {tick_us} us")


def _moved_up(device: Device, sequence: Sequence, tick_us: int, steps: int) -> Device:
    """The device with the one time from which it works out others moved up by `steps` ticks."""
    if device.type_name in FILLS:
        field, filling = FILLS[device.type_name]
        within = _time_of(_behaviour(device, sequence), filling)
        assert within.latest_us is not None
        earliest_us, latest_us = within.earliest_us // tick_us, -(-within.latest_us // tick_us) + steps
        return _with(device, field, TimeRange(earliest_us * tick_us, latest_us * tick_us))
    if device.type_name in ("decurler", "web_guide"):
        return _way_in_ticks(device, sequence, tick_us, steps)
    slow_us = device.value("slow", int)
    return device if slow_us is None else _with(device, "slow", slow_us + steps * tick_us)


def _way_in_ticks(device: Device, sequence: Sequence, tick_us: int, steps: int) -> Device:
    """With 1 mm a tick and a longest way that takes whole ticks; a decurler's shortest takes no time."""
    latest_us = max(within.latest_us or 0 for within in _times(_behaviour(device, sequence)) if within.earliest_us == 0)
    longest_mm = (-(-latest_us // tick_us) + steps) * (1 - RATE_SPREAD)
    slower = _with(device, "rate", 1000 / tick_us)
    if device.type_name == "web_guide":
        return _with(slower, "travel", longest_mm)
    return _with(_with(slower, "at full", NO_WAY_MM), "at core", longest_mm)


def _with(device: Device, name: str, value: FieldValue) -> Device:
    others = tuple(entry for entry in device.entries if entry.name != name)
    return replace(device, entries=(*others, Entry(name=name, value=value, place=device.place)))


def _behaviour(device: Device, sequence: Sequence) -> Behaviour:
    return DEVICE_TYPES[device.type_name].behaviour(device, sequence.machine)


def _times(behaviour: Behaviour) -> Iterator[TimeRange]:
    return (
        move.after for position in behaviour.positions for move in position.moves if move.after is not None
    )


def _time_of(behaviour: Behaviour, name: str) -> TimeRange:
    filling = next(position for position in behaviour.positions if position.name == name)
    return next(move.after for move in filling.moves if move.after is not None)


def _is_whole(within: TimeRange, tick_us: int) -> bool:
    return within.earliest_us % tick_us == 0 and (within.latest_us or 0) % tick_us == 0
