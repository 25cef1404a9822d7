"""A device with two positions that only somebody's acts change: button, selector, emergency stop, door."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.language.sequence import Device
from seqcheck.plant.behaviour import Behaviour, Move, Position, contact_failures
from seqcheck.plant.device_entry import wires_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """One of the two positions: facts true and signal on in it, and the act that leads to the other."""

    name: str
    act: str
    facts: frozenset[str] = frozenset()
    signals: frozenset[str] = frozenset()


def by_hand(device: Device, rest: Hand, other: Hand, *, signal: str, initial: str | None = None) -> Behaviour:
    """The behaviour of a device with these positions and one signal; it begins in `rest` unless told."""
    wires = wires_of(device, **{signal: signal})
    return Behaviour(
        device=device.name,
        positions=(_position(rest, other), _position(other, rest)),
        initial=initial or rest.name,
        facts=tuple(sorted(rest.facts | other.facts)),
        wires=wires,
        failures=contact_failures(wires),
    )


def _position(hand: Hand, other: Hand) -> Position:
    act = Move(name=hand.act, to=other.name, act=hand.act)
    return Position(name=hand.name, facts=hand.facts, signals=hand.signals, moves=(act,), is_rest=True)
