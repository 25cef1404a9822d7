"""A light curtain with muting: while two muting sensors see a load, it may pass; a person may not.

Muting begins when both sensors are on, the second within a time of the first, and ends when either goes off, when it is no longer
enabled, or when its time limit is over; then both must go off before it can begin again.
Source: IEC TS 62046 (two sensors, concurrence, time limit, enable), IEC 61496-1 Annex A (muting), from memory.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.errors import Place
from seqcheck.language.expression import Constant, Expression
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import place_of, required, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_CONCURRENCE_US = 4_000_000
"""Longest time between the two sensors where the file does not say. Source: IEC TS 62046 (from memory)."""

_ON, _OFF = (("first", True), ("second", True)), (("first", False), ("second", False))
_STAYS = "muting_does_not_end"
_ENABLED = ("enable", True)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Clear or interrupted, in each state of the muting; the mode in which muting does not end."""
    concurrence_us = device.value("concurrence", int) or _CONCURRENCE_US
    states = _states(concurrence_us, required(device, "limit", int), has_enable=device.entry("enable") is not None)
    healthy = tuple(_position(name, moves, is_clear=clear) for name, moves in states.items() for clear in (True, False))
    wires = wires_of(device, clear="clear", muted="muted")
    return Behaviour(
        device=device.name,
        positions=(*healthy, *(_stuck(part) for part in healthy)),
        initial="watching",
        facts=("is_interrupted", "is_muted", "is_clear"),
        drives=_drives(device),
        wires=wires,
        failures=(Failure(name=_STAYS, text="stays muted", mode=_STAYS), *contact_failures(wires)),
    )


def _drives(device: Device) -> tuple[Drive, ...]:
    roles = ("first", "second", "enable") if device.entry("enable") is not None else ("first", "second")
    return tuple(Drive(role=role, condition=_condition(device, role)) for role in roles)


def _condition(device: Device, name: str) -> Expression:
    entry = device.entry(name)
    place: Place = place_of(device, name)
    value = Constant(place, False) if entry is None else entry.value
    assert isinstance(value, Constant | Expression), "the reader makes a condition of it"
    return value


def _states(concurrence_us: int, limit_us: int, *, has_enable: bool) -> dict[str, tuple[Move, ...]]:
    """The muting: watching, one sensor on, muted, over until both are off."""
    may = (*_ON, _ENABLED) if has_enable else _ON
    refused = (Move(name="not_enabled", to="over", when=(*_ON, ("enable", False))),) if has_enable else ()
    one_on = tuple(
        Move(name=f"{name}_on", to="one_on", when=(("first", name == "first"), ("second", name == "second")))
        for name in ("first", "second")
    )
    one_left = tuple(replace(move, name=f"{move.name}_alone", to="over") for move in one_on)
    off = Move(name="both_off", to="watching", when=_OFF)
    late = Move(name="not_concurrent", to="over", after=TimeRange(concurrence_us, concurrence_us))
    limit = Move(name="limit_over", to="over", after=TimeRange(limit_us, limit_us))
    begins = Move(name="both_on", to="muted", when=may)
    return {
        "watching": (begins, *refused, *one_on),
        "one_on": (begins, *refused, off, late),
        "muted": (off, *one_left, *refused, limit),
        "over": (off,),
    }


def _position(state: str, moves: tuple[Move, ...], *, is_clear: bool) -> Position:
    muted = state == "muted"
    act = Move(name="enters", to=f"{state}_interrupted", act="enters") if is_clear else Move(name="leaves", to=state, act="leaves")
    own = moves if is_clear else tuple(replace(move, to=f"{move.to}_interrupted") for move in moves)
    return Position(
        name=state if is_clear else f"{state}_interrupted",
        facts=frozenset({"is_clear" if is_clear else "is_interrupted"}) | (frozenset({"is_muted"}) if muted else frozenset()),
        signals=frozenset(role for role, is_on in (("clear", is_clear or muted), ("muted", muted)) if is_on),
        moves=(act, *own),
        is_rest=state in ("watching", "over"),
    )


def _stuck(position: Position) -> Position:
    """Once muted it stays so; what begins, begins as ever."""
    if not position.name.startswith("muted"):
        return replace(position, mode=_STAYS)
    return replace(position, mode=_STAYS, moves=position.moves[:1])


MUTED_LIGHT_CURTAIN = DeviceType(
    name="muted_light_curtain",
    meaning="A light curtain with muting by two sensors",
    fields=(
        Field(
            name="clear", kind=FieldKind.SIGNAL, meaning="input that is on while nobody is in it, or it is muted", required=True
        ),
        Field(name="first", kind=FieldKind.CONDITION, meaning="when the first muting sensor is on", required=True),
        Field(name="second", kind=FieldKind.CONDITION, meaning="when the second muting sensor is on", required=True),
        Field(name="limit", kind=FieldKind.TIME, meaning="longest muting", required=True),
        Field(
            name="concurrence",
            kind=FieldKind.TIME,
            meaning="longest time between the two sensors; 4 s if not given",
        ),
        Field(name="enable", kind=FieldKind.CONDITION, meaning="when muting may begin and go on; always if not given"),
        Field(name="muted", kind=FieldKind.SIGNAL, meaning="input that is on while it is muted"),
    ),
    behaviour=_behaviour,
)
