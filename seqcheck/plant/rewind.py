"""The rewind: a web drive at the other end of the line, with ramps of its own in the machine data."""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.drive import DRIVE


def _behaviour(device: Device, machine: MachineData) -> Behaviour:
    """A drive's positions and failures, with the ramps of the section `rewind`."""
    return DRIVE.behaviour(device, replace(machine, unwind=machine.rewind))


REWIND = DeviceType(
    name="rewind",
    meaning="The rewind, whose ramps are those of the section rewind",
    fields=DRIVE.fields,
    behaviour=_behaviour,
)
