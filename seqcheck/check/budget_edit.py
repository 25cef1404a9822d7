"""Variants of a sequence for the budget: a faster line, another accumulator, longer ramps, a longer time.

Only numbers change, in memory; the file stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from math import ceil

from seqcheck.language.sequence import Accumulator, Device, Line, Sequence, Unwind
from seqcheck.quantities.time import LONGEST_TIME_US, TimeRange

Changed = Callable[[TimeRange], TimeRange]

RAMPED = ("drive", "line_drive", "rewind")
"""Device types with ramps of their own."""


def at_line_speed(sequence: Sequence, speed_m_per_s: float, *, keeps_rates: bool = False) -> Sequence:
    """The sequence with another line speed. Ramps keep their times, or (`keeps_rates`) their metres per second squared."""
    line = _line(sequence)
    factor = speed_m_per_s / line.speed_m_per_s
    changed = _with(sequence, line=replace(line, speed_m_per_s=speed_m_per_s))
    return changed if not keeps_rates else with_ramps(changed, lambda within: stretched(within, factor))


def with_stroke(sequence: Sequence, stroke_m: float) -> Sequence:
    """The sequence with another carriage stroke; levels stay the same fractions of it."""
    return _with(sequence, accumulator=replace(_accumulator(sequence), stroke_m=stroke_m))


def with_strands(sequence: Sequence, strands: int) -> Sequence:
    """The sequence with another number of strands."""
    return _with(sequence, accumulator=replace(_accumulator(sequence), strands=strands))


def with_winding_ramps_of_at_least(sequence: Sequence, section: str, drive: str, shortest_us: int) -> Sequence:
    """The sequence in which no ramp of the device `drive` is quicker than this; slower ones stay.

    `section`: its section of the machine data, unwind or rewind.
    """

    def slowed(within: TimeRange) -> TimeRange:
        latest_us = None if within.latest_us is None else max(within.latest_us, shortest_us)
        return TimeRange(max(within.earliest_us, shortest_us), latest_us)

    changed = _with(sequence, **{section: _ramped_winding(getattr(sequence.machine, section), slowed)})
    return replace(
        changed,
        devices=tuple(_ramped(device, slowed) if device.name == drive else device for device in changed.devices),
    )


def with_ramps(sequence: Sequence, changed: Changed) -> Sequence:
    """The sequence in which every ramp of unwind, rewind and line is `changed`."""
    line, unwind, rewind = sequence.machine.line, sequence.machine.unwind, sequence.machine.rewind
    if line is not None:
        line = replace(
            line,
            stop=None if line.stop is None else changed(line.stop),
            start=None if line.start is None else changed(line.start),
        )
    return replace(
        _with(sequence, line=line, unwind=_ramped_winding(unwind, changed), rewind=_ramped_winding(rewind, changed)),
        devices=tuple(
            _ramped(device, changed) if device.type_name in RAMPED else device for device in sequence.devices
        ),
    )


def stretched(within: TimeRange, factor: float) -> TimeRange:
    """The range with both ends times `factor`, whole microseconds: the early end rounded down, the late one up."""
    exact = Fraction(factor)
    latest_us = within.latest_us
    return TimeRange(
        int(within.earliest_us * exact), None if latest_us is None else min(ceil(latest_us * exact), LONGEST_TIME_US)
    )


def _ramped_winding(winding: Unwind | None, changed: Changed) -> Unwind | None:
    return None if winding is None else replace(winding, stop=changed(winding.stop), start=changed(winding.start))


def _ramped(device: Device, changed: Changed) -> Device:
    entries = tuple(
        replace(entry, value=changed(entry.value))
        if entry.name in ("stop", "start") and isinstance(entry.value, TimeRange)
        else entry
        for entry in device.entries
    )
    return replace(device, entries=entries)


def _with(sequence: Sequence, **sections: Line | Unwind | Accumulator | None) -> Sequence:
    """The sequence with other sections of the machine data."""
    return replace(sequence, machine=replace(sequence.machine, **sections))  # type: ignore[arg-type]


def _line(sequence: Sequence) -> Line:
    assert sequence.machine.line is not None, "a budget needs the line section"
    return sequence.machine.line


def _accumulator(sequence: Sequence) -> Accumulator:
    assert sequence.machine.accumulator is not None, "a budget needs the accumulator section"
    return sequence.machine.accumulator
