"""Changes of the machine: a range of time twice as long at its end, past the limit that the file states."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seqcheck.adequacy.change import Anywhere, Change, ChangeKind, Subject
from seqcheck.errors import Place
from seqcheck.language.sequence import Circuit, Device, Entry, MachineData, Sequence
from seqcheck.quantities.time import TimeRange, format_time

WIDENED = 2
"""How many times as long the latest time of a widened range is. Chosen by us."""

def range_changes(sequence: Sequence) -> Iterator[Change]:
    """Each range of a device, of a circuit's drop-out and of the drives' ramps with twice its latest time."""
    for device in sequence.devices:
        for entry in device.entries:
            if isinstance(entry.value, TimeRange) and (wide := widened(entry.value)) is not None:
                yield _of_device(sequence, device, entry, wide)
    for circuit in sequence.circuits:
        if (wide := widened(circuit.drop)) is not None:
            yield _of_circuit(sequence, circuit, wide)
    for name, machine, wide in _ramps(sequence.machine):
        yield _change(replace(sequence, machine=machine), _place_of_drive(sequence, name), name, wide, "")


def widened(time: TimeRange) -> TimeRange | None:
    """The range with twice its latest time; None where it has none, or takes no time."""
    if not time.latest_us:
        return None
    return replace(time, latest_us=time.latest_us * WIDENED)


def _of_device(sequence: Sequence, device: Device, entry: Entry, wide: TimeRange) -> Change:
    entries = tuple(replace(entry, value=wide) if other is entry else other for other in device.entries)
    devices = tuple(replace(device, entries=entries) if other is device else other for other in sequence.devices)
    changed = replace(sequence, devices=devices)
    return _change(changed, entry.place, f"{device.name}.{entry.name}", wide, device.name)


def _of_circuit(sequence: Sequence, circuit: Circuit, wide: TimeRange) -> Change:
    circuits = tuple(replace(circuit, drop=wide) if other is circuit else other for other in sequence.circuits)
    changed = replace(sequence, circuits=circuits)
    return _change(changed, circuit.place, f"drop of circuit {circuit.name}", wide, circuit.name)


def _ramps(machine: MachineData) -> Iterator[tuple[str, MachineData, TimeRange]]:
    """Each ramp by name, with the data in which it is widened."""
    line, unwind, rewind = machine.line, machine.unwind, machine.rewind
    if line is not None and line.stop is not None and (wide := widened(line.stop)):
        yield "line stop", replace(machine, line=replace(line, stop=wide)), wide
    if line is not None and line.start is not None and (wide := widened(line.start)):
        yield "line start", replace(machine, line=replace(line, start=wide)), wide
    if unwind is not None and (wide := widened(unwind.stop)):
        yield "unwind stop", replace(machine, unwind=replace(unwind, stop=wide)), wide
    if unwind is not None and (wide := widened(unwind.start)):
        yield "unwind start", replace(machine, unwind=replace(unwind, start=wide)), wide
    if rewind is not None and (wide := widened(rewind.stop)):
        yield "rewind stop", replace(machine, rewind=replace(rewind, stop=wide)), wide
    if rewind is not None and (wide := widened(rewind.start)):
        yield "rewind start", replace(machine, rewind=replace(rewind, start=wide)), wide


def _place_of_drive(sequence: Sequence, ramp: str) -> Place:
    """Ramps carry no place of their own; the device that makes them does, if it has the section's name."""
    named = [device.place for device in sequence.devices if device.name == ramp.split()[0]]
    return (named or [sequence.charts[0].place])[0]


def _change(changed: Sequence, place: Place, what: str, wide: TimeRange, owner: str) -> Change:
    assert wide.latest_us is not None
    return Change(
        kind=ChangeKind.WIDEN_RANGE,
        place=place,
        text=f"{what} takes up to {format_time(wide.latest_us)}",
        owner=owner,
        touched=Anywhere(),
        subject=Subject(device=owner, time_us=wide.latest_us // WIDENED),
        sequence=changed,
    )
