"""Which outputs can hurt somebody: those that drive a device with a hazard."""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.diagrams.drawing import HAZARD_SIGN
from seqcheck.language.expression import names_in
from seqcheck.language.sequence import Sequence
from seqcheck.plant.behaviour import Behaviour

Hazards = dict[str, tuple[str, ...]]
"""From the name of an output to the hazards of the devices that it drives, each once."""


def hazards_of_outputs(sequence: Sequence, behaviours: Iterable[Behaviour]) -> Hazards:
    """The hazards of every name that stands in a drive of a hazardous device.

    Names in a drive that are no outputs (facts, signals) are among the keys; nobody asks for them.
    """
    words = {device.name: device.hazard for device in sequence.devices if device.hazard}
    found: dict[str, dict[str, None]] = {}
    for behaviour in behaviours:
        if behaviour.device not in words:
            continue
        for name in names_driving(behaviour):
            found.setdefault(name, {})[words[behaviour.device]] = None
    return {name: tuple(hazards) for name, hazards in found.items()}


def names_driving(behaviour: Behaviour) -> tuple[str, ...]:
    """The names in the device's drives, each once, in their order."""
    return tuple(dict.fromkeys(name.text for drive in behaviour.drives for name in names_in(drive.condition)))


def hazard_text(hazards: Iterable[str]) -> str:
    """`(!) cut, crush`."""
    return f"{HAZARD_SIGN} {', '.join(hazards)}"
