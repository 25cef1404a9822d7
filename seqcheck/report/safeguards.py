"""The devices that keep people from hazards: guards, light curtains, emergency stops, whatever their type in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.build import behaviours_of
from seqcheck.language.expression import names_in
from seqcheck.language.sequence import Sequence
from seqcheck.plant.behaviour import Behaviour

_GONE = {"guard": "is_open", "light_curtain": "is_interrupted", "emergency_stop": "is_pressed"}
"""By device type, the fact that means that the safeguard calls for a stop."""
_KINDS = {"guard": "guard", "light_curtain": "light curtain", "emergency_stop": "emergency stop"}
_UNLOCKED = "is_unlocked"
_PRESSED = "is_pressed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Safeguard:
    """One safeguard. `fact` (`hood.is_open`) means that it calls for a stop; `has_lock`: a guard whose bolt the controller
    moves."""

    device: str
    kind: str
    fact: str
    has_lock: bool = False


def safeguards_of(sequence: Sequence) -> tuple[Safeguard, ...]:
    """All safeguards, in the order of the file.

    A free-form device with a fact `is_pressed` whose signal, or that itself, holds a safety circuit counts as an emergency stop.
    """
    return tuple(_found(sequence))


def _found(sequence: Sequence) -> Iterator[Safeguard]:
    in_circuits = {name.text for circuit in sequence.circuits for part in circuit.channels for name in names_in(part)}
    for behaviour in behaviours_of(sequence):
        device = sequence.device(behaviour.device)
        if device is None:
            continue
        fact = _GONE.get(device.type_name)
        if fact is None and device.type_name == "free" and _PRESSED in behaviour.facts and _holds(behaviour, in_circuits):
            fact = _PRESSED
        if fact is not None:
            yield Safeguard(
                device=device.name,
                kind=_KINDS.get(device.type_name, "emergency stop"),
                fact=f"{device.name}.{fact}",
                has_lock=any(device.entry(name) is not None for name in ("lock", "unlock")),
            )


def _holds(behaviour: Behaviour, names: set[str]) -> bool:
    own = {wire.signal.name for wire in behaviour.wires} | {f"{behaviour.device}.{fact}" for fact in behaviour.facts}
    return bool(own & names)
