"""A position or mark sensor: sees its target while a condition on the machine holds, or a little later."""

from __future__ import annotations

from typing import cast

from seqcheck.language.expression import Expression
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Move, Position, contact_failures
from seqcheck.plant.device_entry import file_error, latest_us, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_CHANGES = {"appears": ("unseen", "appearing", "seen"), "leaves": ("seen", "leaving", "unseen")}
"""Of each change: the position before it, the position in which it is due, and the position after it."""

_FIELDS = (
    Field(
        name="seen", kind=FieldKind.SIGNAL, meaning="input that is on when the target is seen", required=True
    ),
    Field(
        name="while",
        kind=FieldKind.CONDITION,
        meaning="when the target is in front of the sensor",
        required=True,
    ),
    Field(
        name="appears",
        kind=FieldKind.TIME_RANGE,
        meaning="from the condition to the target being seen; at once if not given",
    ),
    Field(
        name="leaves",
        kind=FieldKind.TIME_RANGE,
        meaning="from the end of the condition to the target being out of sight; at once if not given",
    ),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The sensor's positions; only its contact fails."""
    wires = wires_of(device, seen="seen")
    return Behaviour(
        device=device.name,
        positions=(*_changes(device, "appears"), *_changes(device, "leaves")),
        initial="unseen",
        facts=("is_seen",),
        drives=(Drive(role="while", condition=_condition(device)),),
        wires=wires,
        failures=contact_failures(wires),
    )


def _condition(device: Device) -> Expression:
    entry = device.entry("while")
    if entry is None:
        raise file_error(device, "while", expected=f"a field 'while' of {device.name}", found="none")
    return cast(Expression, entry.value)


def _changes(device: Device, change: str) -> tuple[Position, ...]:
    """The position before a change, and the one in which it is due; undone, nothing was to be seen of it."""
    start, due, end = _CHANGES[change]
    seen = frozenset({"is_seen"}) if start == "seen" else frozenset[str]()
    signals = frozenset({"seen"}) if start == "seen" else frozenset[str]()
    within = device.value(change, TimeRange)
    arrives = start == "unseen"
    timed = within is not None and latest_us(within) > 0
    begun = Move(name=change, to=due if timed else end, when=(("while", arrives),))
    rest = Position(name=start, facts=seen, signals=signals, moves=(begun,), is_rest=True)
    if not timed:
        return (rest,)
    done = Move(name=f"{change}_late", to=end, after=within)
    undone = Move(name=f"{change}_not", to=start, when=(("while", not arrives),))
    return (rest, Position(name=due, facts=seen, signals=signals, moves=(done, undone)))


SENSOR = DeviceType(
    name="sensor",
    meaning="A position or mark sensor",
    fields=_FIELDS,
    behaviour=_behaviour,
)
