"""A selector switch: stays on or off where somebody has turned it."""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.by_hand import Hand, by_hand
from seqcheck.plant.device_type import DeviceType

_OFF = Hand(name="off", act="turns_on")
_ON = Hand(name="on", act="turns_off", facts=frozenset({"is_on"}), signals=frozenset({"on"}))


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Off and on."""
    return by_hand(device, _OFF, _ON, signal="on", initial=device.value("initially", str))


SELECTOR = DeviceType(
    name="selector",
    meaning="A selector switch",
    fields=(
        Field(
            name="on",
            kind=FieldKind.SIGNAL,
            meaning="input that is on while the selector is on",
            required=True,
        ),
        Field(
            name="initially",
            kind=FieldKind.WORD,
            meaning="how the selector is found at the start; off if not given",
            choices=("on", "off"),
        ),
    ),
    behaviour=_behaviour,
)
