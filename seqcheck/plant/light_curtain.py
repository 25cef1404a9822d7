"""A light curtain: interrupted while somebody is in it."""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.by_hand import Hand, by_hand
from seqcheck.plant.device_type import DeviceType

_CLEAR = Hand(name="clear", act="enters", signals=frozenset({"clear"}))
_INTERRUPTED = Hand(name="interrupted", act="leaves", facts=frozenset({"is_interrupted"}))


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Clear and interrupted."""
    return by_hand(device, _CLEAR, _INTERRUPTED, signal="clear")


LIGHT_CURTAIN = DeviceType(
    name="light_curtain",
    meaning="A light curtain",
    fields=(
        Field(
            name="clear",
            kind=FieldKind.SIGNAL,
            meaning="input that is on while nobody is in the light curtain",
            required=True,
        ),
    ),
    behaviour=_behaviour,
)
