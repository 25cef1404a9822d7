"""What drives and accumulator may do in a run whose times are given: for the picture, not for any verdict.

The run says when a drive has started, stands, or is at its level; the physics is led along, each ramp as long as the run has it.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import PhysicalData, physical_data
from seqcheck.simulate.physics import Physics
from seqcheck.simulate.segment import S_PER_US
from seqcheck.simulate.view import View, view_of


@dataclass(slots=True)
class _Lead:
    """What the physics is told when it asks how long a ramp takes. Mutable: set before each step of the run."""

    wanted_us: int | None = None

    def draw(self, least: int, most: int) -> int:
        """The time that the run has, inside the range of the device; else the middle."""
        if self.wanted_us is None:
            return (least + most) // 2
        return min(max(self.wanted_us, least), most)


def witness_motion(sequence: Sequence, network: Network, schedule: Schedule, end_us: int) -> MotionRecord | None:
    """The motion of the machine in `schedule`, or None where the file does not give its numbers."""
    data = physical_data(sequence, network)
    if data is None:
        return None
    views = _views(data, schedule)
    lead = _Lead()
    physics = Physics(data, views[0][1], lead.draw)
    for number, (time_us, view) in enumerate(views[1:], start=1):
        lead.wanted_us = _ramp_us(views, number)
        physics.take(view, time_us)
    physics.advance(end_us * S_PER_US)
    return MotionRecord(
        data=data,
        segments=tuple(physics.segments),
        arcs=tuple(physics.decurling.arcs),
        end_s=end_us * S_PER_US,
        diameters_m=tuple((roll.core_m + roll.outside_m) / 2 for roll in data.rolls),
    )


def _views(data: PhysicalData, schedule: Schedule) -> list[tuple[int, View]]:
    found = [(0, view_of(data, schedule.start))]
    for happening in schedule.happenings:
        view = view_of(data, happening.edge.target)
        if view != found[-1][1]:
            found.append((happening.time_us, view))
    return found


def _ramp_us(views: list[tuple[int, View]], number: int) -> int | None:
    """How long the drive that changes here stays as it then is; None where none does, or it stays for good."""
    time_us, view = views[number]
    before = views[number - 1][1].places
    changed = [drive for drive, place in enumerate(view.places) if place != before[drive]]
    if not changed:
        return None
    drive = changed[0]
    later = (at_us for at_us, other in views[number + 1 :] if other.places[drive] != view.places[drive])
    following_us = next(later, None)
    return None if following_us is None else following_us - time_us
