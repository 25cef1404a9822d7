"""The drive of the line that must not stop: as an unwind's, with the line's own ramps."""

from __future__ import annotations

from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.drive import (
    RAMP_FAILURES,
    RAMP_FIELDS,
    drive_behaviour,
    ramp_links,
    ramp_modes,
    ramp_time,
    ramp_travel,
)
from seqcheck.plant.failed_travel import linked


def _behaviour(device: Device, machine: MachineData) -> Behaviour:
    """The line drive's positions, with the modes does_not_stop and does_not_start."""
    shared = machine.line
    stop = ramp_time(device, "stop", shared.stop if shared else None)
    start = ramp_time(device, "start", shared.start if shared else None)
    ramps = ramp_travel(stop, start)
    healthy = ramps.positions()
    positions = (*linked(healthy, ramp_links(ramps)), *ramp_modes(ramps, healthy))
    return drive_behaviour(device, positions, RAMP_FAILURES)


LINE_DRIVE = DeviceType(
    name="line_drive",
    meaning="The drive of the line that must not stop",
    fields=RAMP_FIELDS,
    behaviour=_behaviour,
)
