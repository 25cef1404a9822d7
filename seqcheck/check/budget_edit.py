"""Variants of a sequence for the budget: a faster line, another accumulator, longer ramps, a longer time.

Only numbers change, in memory; the file stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from math import ceil

from seqcheck.language.sequence import Accumulator, Device, Line, MachineData, Sequence, Unwind
from seqcheck.quantities.time import LONGEST_TIME_US, TimeRange

Changed = Callable[[TimeRange], TimeRange]

RAMPED = ("drive", "line_drive")
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


def with_unwind_ramps_of_at_least(sequence: Sequence, unwind: str, shortest_us: int) -> Sequence:
    """The sequence in which no ramp of the device `unwind` is quicker than this; slower ones stay."""

    def slowed(within: TimeRange) -> TimeRange:
        latest_us = None if within.latest_us is None else max(within.latest_us, shortest_us)
        return TimeRange(max(within.earliest_us, shortest_us), latest_us)

    data = sequence.machine
    own = data.unwind
    assert own is not None, "a budget needs the unwind section"
    changed = _with(sequence, unwind=replace(own, stop=slowed(own.stop), start=slowed(own.start)))
    return replace(
        changed,
        devices=tuple(
            _ramped(device, slowed) if device.name == unwind else device for device in changed.devices
        ),
    )


def with_ramps(sequence: Sequence, changed: Changed) -> Sequence:
    """The sequence in which every ramp of unwind and line is `changed`."""
    line, unwind = sequence.machine.line, sequence.machine.unwind
    if line is not None:
        line = replace(
            line,
            stop=None if line.stop is None else changed(line.stop),
            start=None if line.start is None else changed(line.start),
        )
    if unwind is not None:
        unwind = replace(unwind, stop=changed(unwind.stop), start=changed(unwind.start))
    return replace(
        _with(sequence, line=line, unwind=unwind),
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


def _ramped(device: Device, changed: Changed) -> Device:
    entries = tuple(
        replace(entry, value=changed(entry.value))
        if entry.name in ("stop", "start") and isinstance(entry.value, TimeRange)
        else entry
        for entry in device.entries
    )
    return replace(device, entries=entries)


def _with(
    sequence: Sequence,
    *,
    line: Line | None = None,
    unwind: Unwind | None = None,
    accumulator: Accumulator | None = None,
) -> Sequence:
    data: MachineData = sequence.machine
    return replace(
        sequence,
        machine=replace(
            data,
            line=line or data.line,
            unwind=unwind or data.unwind,
            accumulator=accumulator or data.accumulator,
        ),
    )


def _line(sequence: Sequence) -> Line:
    assert sequence.machine.line is not None, "a budget needs the line section"
    return sequence.machine.line


def _accumulator(sequence: Sequence) -> Accumulator:
    assert sequence.machine.accumulator is not None, "a budget needs the accumulator section"
    return sequence.machine.accumulator
