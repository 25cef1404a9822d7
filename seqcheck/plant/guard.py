"""A movable guard: somebody opens and closes it; a lock, if it has one, keeps it closed while its bolt is in.

`lock` is energised to lock; `unlock` is energised to release a bolt that a spring holds in.
Source: ISO 14119, power to lock and power to unlock, escape release (from memory).
"""

from __future__ import annotations

from seqcheck.language.expression import Not
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, contact_failures
from seqcheck.plant.by_hand import Hand, by_hand
from seqcheck.plant.device_entry import file_error, output_condition, place_of, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.guard_lock import LOCK_FACTS, LOCK_FAILURES, lock_positions, with_escape
from seqcheck.quantities.time import TimeRange

_BOLT_TIME = TimeRange(20_000, 80_000)
"""Time of the bolt where the file does not say. Common practice, no source."""

_CLOSED = Hand(
    name="closed", act="opens", facts=frozenset({"is_closed", "is_unlocked"}), signals=frozenset({"closed"})
)
_OPEN = Hand(name="open", act="closes", facts=frozenset({"is_open", "is_unlocked"}))

_FIELDS = (
    Field(
        name="closed",
        kind=FieldKind.SIGNAL,
        meaning="input that is on while the guard is closed",
        required=True,
    ),
    Field(name="lock", kind=FieldKind.OUTPUT, meaning="output that locks the guard (power to lock)"),
    Field(
        name="unlock",
        kind=FieldKind.OUTPUT,
        meaning="output that releases the guard; a spring locks it (power to unlock)",
    ),
    Field(name="locked", kind=FieldKind.SIGNAL, meaning="input that is on while the bolt is in"),
    Field(
        name="engage", kind=FieldKind.TIME_RANGE, meaning="time for the bolt to go in; 20..80 ms if not given"
    ),
    Field(
        name="release",
        kind=FieldKind.TIME_RANGE,
        meaning="time for the bolt to come out; 20..80 ms if not given",
    ),
    Field(
        name="escape",
        kind=FieldKind.WORD,
        meaning="an escape release: from inside the guard opens at any time, locked or not; none if not given",
        choices=("release",),
    ),
    Field(
        name="access",
        kind=FieldKind.WORD,
        meaning="who opens the guard: the operator, as a rule, or maintenance",
        choices=("operator", "maintenance"),
    ),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The guard's positions; with a lock also the modes not_holding and not_releasing.

    Raises SequenceFileError if it has both kinds of lock, or values of a lock without one.
    """
    locks = [name for name in ("lock", "unlock") if device.entry(name) is not None]
    if not locks:
        _refuse_lock_entries(device)
        return _without_lock(device)
    if len(locks) > 1:
        raise file_error(device, "unlock", expected="either lock or unlock", found="both")
    return _with_lock(device, _lock_drive(device, locks[0]))


def _refuse_lock_entries(device: Device) -> None:
    for name in ("locked", "engage", "release", "escape"):
        if device.entry(name) is not None:
            raise file_error(device, name, expected="an output lock or unlock with it", found="neither")


def _without_lock(device: Device) -> Behaviour:
    return by_hand(device, _CLOSED, _OPEN, signal="closed")


def _lock_drive(device: Device, output: str) -> Drive:
    condition = output_condition(device, output)
    asked = condition if output == "lock" else Not(place_of(device, output), condition)
    return Drive(role="lock", condition=asked)


def _with_lock(device: Device, drive: Drive) -> Behaviour:
    wires = wires_of(device, closed="closed", locked="locked")
    engage = device.value("engage", TimeRange) or _BOLT_TIME
    release = device.value("release", TimeRange) or _BOLT_TIME
    positions = lock_positions(engage, release)
    return Behaviour(
        device=device.name,
        positions=with_escape(positions) if device.entry("escape") is not None else positions,
        initial="closed" if device.entry("lock") is not None else "locked",
        facts=LOCK_FACTS,
        drives=(drive,),
        wires=wires,
        failures=(*LOCK_FAILURES, *contact_failures(wires)),
    )


GUARD = DeviceType(
    name="guard",
    meaning="A movable guard, with or without guard locking",
    fields=_FIELDS,
    behaviour=_behaviour,
)
