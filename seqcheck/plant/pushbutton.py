"""A pushbutton: pressed for as long as somebody holds it."""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.by_hand import Hand, by_hand
from seqcheck.plant.device_type import DeviceType

_RELEASED = Hand(name="released", act="presses")
_PRESSED = Hand(
    name="pressed", act="releases", facts=frozenset({"is_pressed"}), signals=frozenset({"pressed"})
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Released and pressed."""
    return by_hand(device, _RELEASED, _PRESSED, signal="pressed")


PUSHBUTTON = DeviceType(
    name="pushbutton",
    meaning="A pushbutton",
    fields=(
        Field(
            name="pressed",
            kind=FieldKind.SIGNAL,
            meaning="input that is on while the button is pressed",
            required=True,
        ),
    ),
    behaviour=_behaviour,
)
