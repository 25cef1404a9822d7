"""The web and its break detector: a break is a failure, threading the web again its repair."""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Position, contact_failures
from seqcheck.plant.device_entry import wires_of
from seqcheck.plant.device_type import DeviceType

_POSITIONS = (
    Position(name="whole", facts=frozenset({"is_whole"}), fails_as=(("broken", "broken"),), is_rest=True),
    Position(
        name="broken",
        mode="broken",
        facts=frozenset({"is_broken"}),
        signals=frozenset({"broken"}),
        repaired_as="whole",
        is_rest=True,
    ),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Whole, or broken by the failure `breaks`; repair is threading."""
    wires = wires_of(device, broken="broken")
    return Behaviour(
        device=device.name,
        positions=_POSITIONS,
        initial="whole",
        facts=("is_broken", "is_whole"),
        wires=wires,
        failures=(Failure(name="breaks", text="web breaks", mode="broken"), *contact_failures(wires)),
    )


WEB_BREAK = DeviceType(
    name="web_break",
    meaning="The web with its break detector",
    fields=(Field(name="broken", kind=FieldKind.SIGNAL, meaning="input that is on when the web is broken"),),
    behaviour=_behaviour,
)
