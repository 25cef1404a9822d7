"""The time ranges that a file declares for its devices, and the motions that each of them governs.

Which field of a device is behind which motion is found out by trying: with another range in that field, the motions that
then have that other range are its own. So no device type is known here by name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from seqcheck.errors import SequenceFileError
from seqcheck.language.field import FreeState
from seqcheck.language.sequence import Circuit, Device, Entry, MachineData, Sequence
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.plant.circuit import circuit_behaviour
from seqcheck.quantities.time import TimeRange

Path = tuple[str, ...]
"""Names from the top of the file down to the value: ('devices', 'knife', 'switches', 'band')."""
Motion = tuple[str, str]
"""A device or circuit, and the name of its move."""

_ODD_US = 7_301
"""An end that no file has, so that a range with it is recognised."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredRange:
    """A range in the file: where it stands, and the motions that have exactly this range because of it."""

    path: Path
    within: TimeRange
    motions: tuple[Motion, ...]


def declared_ranges(sequence: Sequence) -> tuple[DeclaredRange, ...]:
    """Every range of devices, circuits and ramps that governs a motion, in the order of the file."""
    found = [*_of_machine_data(sequence)]
    for device in sequence.devices:
        found += _of_device(sequence, device)
    for circuit in sequence.circuits:
        found += _of_circuit(circuit)
    return tuple(part for part in found if part.motions)


def _probe(within: TimeRange) -> TimeRange:
    """A range a little wider than `within`, so that whatever must fit beside it still does."""
    return TimeRange(max(0, within.earliest_us - 1), (within.latest_us or within.earliest_us) + _ODD_US)


def _motions(behaviour: Behaviour, probe: TimeRange) -> tuple[Motion, ...]:
    names = {
        move.name: None
        for position in behaviour.positions
        if not position.mode
        for move in position.moves
        if move.after == probe
    }
    return tuple((behaviour.device, name) for name in names)


def _behaviour(device: Device, machine: MachineData) -> Behaviour | None:
    try:
        return DEVICE_TYPES[device.type_name].behaviour(device, machine)
    except SequenceFileError:  # the other range contradicts a third value; then this field is not found out
        return None


def _of_machine_data(sequence: Sequence) -> Iterator[DeclaredRange]:
    machine = sequence.machine
    for section in ("line", "unwind", "rewind"):
        data = getattr(machine, section)
        for name in ("stop", "start"):
            within = getattr(data, name, None)
            if within is None:
                continue
            probe = _probe(within)
            other = replace(machine, **{section: replace(data, **{name: probe})})
            behaviours = [_behaviour(device, other) for device in sequence.devices]
            motions = [motion for part in behaviours if part is not None for motion in _motions(part, probe)]
            yield DeclaredRange(path=(section, name), within=within, motions=tuple(motions))


def _of_device(sequence: Sequence, device: Device) -> Iterator[DeclaredRange]:
    for number, entry in enumerate(device.entries):
        for path, within, value in _variations(entry):
            entries = (*device.entries[:number], replace(entry, value=value), *device.entries[number + 1 :])
            behaviour = _behaviour(replace(device, entries=entries), sequence.machine)
            motions = () if behaviour is None else _motions(behaviour, _probe(within))
            yield DeclaredRange(path=("devices", device.name, *path), within=within, motions=motions)


def _variations(entry: Entry) -> Iterator[tuple[Path, TimeRange, TimeRange | tuple[FreeState, ...]]]:
    """Each range in an entry: its path, itself, and the entry's value with another range in its place."""
    if isinstance(entry.value, TimeRange):
        yield tuple(entry.name.split(".")), entry.value, _probe(entry.value)
    elif isinstance(entry.value, tuple) and entry.value and isinstance(entry.value[0], FreeState):
        states = tuple(state for state in entry.value if isinstance(state, FreeState))
        yield from _of_states(entry.name, states)


def _of_states(
    name: str, states: tuple[FreeState, ...]
) -> Iterator[tuple[Path, TimeRange, tuple[FreeState, ...]]]:
    for place, state in enumerate(states):
        for number, move in enumerate(state.moves):
            if move.after is None:
                continue
            moves = (*state.moves[:number], replace(move, after=_probe(move.after)), *state.moves[number + 1 :])
            other = (*states[:place], replace(state, moves=moves), *states[place + 1 :])
            same = sum(before.to == move.to for before in state.moves[:number])
            yield (name, state.name, "next", move.to, str(same), "after"), move.after, other


def _of_circuit(circuit: Circuit) -> Iterator[DeclaredRange]:
    probe = _probe(circuit.drop)
    motions = _motions(circuit_behaviour(replace(circuit, drop=probe)), probe)
    yield DeclaredRange(path=("circuits", circuit.name, "drop"), within=circuit.drop, motions=motions)
