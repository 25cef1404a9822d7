"""An emergency stop: latches when pressed, until somebody pulls it. Its signal is on while it is released.

Source: ISO 13850, the device latches and is reset by hand (from memory).
"""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.by_hand import Hand, by_hand
from seqcheck.plant.device_type import DeviceType

_RELEASED = Hand(name="released", act="presses", signals=frozenset({"healthy"}))
_PRESSED = Hand(name="pressed", act="pulls", facts=frozenset({"is_pressed"}))


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Released and pressed."""
    return by_hand(device, _RELEASED, _PRESSED, signal="healthy")


EMERGENCY_STOP = DeviceType(
    name="emergency_stop",
    meaning="An emergency stop that latches",
    fields=(
        Field(
            name="healthy",
            kind=FieldKind.SIGNAL,
            meaning="input that is on while the emergency stop is not pressed",
            required=True,
        ),
    ),
    behaviour=_behaviour,
)
