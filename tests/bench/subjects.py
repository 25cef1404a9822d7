"""The files that all engines explore, the smaller ones first, each as the same widened copy."""

from __future__ import annotations

from dataclasses import replace

from bench.settings import FLAGSHIP, REPOSITORY
from reference.widened import widened

from seqcheck.kernel.build import behaviours_of
from seqcheck.language.sequence import Device, Entry, Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence

TICK_US = 50_000
"""Every range of the copy is a whole number of these."""
FINE_TICK_US = TICK_US // 5
"""The same copy looked at five times as closely: a search in ticks grows, dense time does not notice."""

SUBJECTS = {
    "clamp and hood": "tests/reference/trials/clamp_and_hood.yaml",
    "knife with circuit": "tests/reference/trials/knife_with_circuit.yaml",
    "clamp and knife": "tests/reference/clamp_and_knife.yaml",
    "sound splice": "tests/defects/sound_splice.yaml",
    "flagship": FLAGSHIP,
}


BOLT_TIME = TimeRange(20_000, 80_000)
"""What plant/guard.py takes where a file says nothing."""


def widened_copy(subject: str) -> Sequence:
    """The copy of a subject that every engine gets.

    Times that device types derive or take by default are written into it first, so that they are widened too.
    """
    return widened(_with_every_time(read_sequence(REPOSITORY / SUBJECTS[subject])), TICK_US)


def _with_every_time(sequence: Sequence) -> Sequence:
    store = sequence.machine.accumulator
    if store is not None:
        # From the reserve a refill takes longer by a ratio that is no whole number of ticks; in the copy it takes as long.
        machine = replace(sequence.machine, accumulator=replace(store, reserve_ratio=store.running_ratio))
        sequence = replace(sequence, machine=machine)
    return replace(sequence, devices=tuple(_complete(device, sequence) for device in sequence.devices))


def _complete(device: Device, sequence: Sequence) -> Device:
    if device.type_name == "accumulator":
        return _with_time(device, "fill_time", _fill_time(device, sequence))
    if device.type_name == "guard" and device.entry("locked") is not None:
        return _with_time(device, "engage", BOLT_TIME)
    return device


def _with_time(device: Device, name: str, within: TimeRange) -> Device:
    if device.entry(name) is not None:
        return device
    return replace(device, entries=(*device.entries, Entry(name=name, value=within, place=device.place)))


def _fill_time(device: Device, sequence: Sequence) -> TimeRange:
    """The time that the type works out from the machine's numbers."""
    behaviour = next(part for part in behaviours_of(sequence) if part.device == device.name)
    filling = next(position for position in behaviour.positions if position.name == "filling")
    times = [move.after for move in filling.moves if move.after is not None]
    assert len(times) == 1, "a filling accumulator has one timed move"
    return times[0]
