"""Stop position: a web that is stopped at a printed mark comes to rest with the mark where it should be.

The picture: the web creeps at a known speed. A mark passes its sensor; a signal delay and a scan later the drive is told to stop,
and its ramp carries the web on. What passes between mark and standstill is

    position = v (t_ramp - t_mark) + v/2 (t_stand - t_ramp)

for a linear ramp from the speed v. A run does not choose the length of its ramp by when it began, so the worst and the best
position are those of the longest and shortest wait, exact over all runs, with the longest and shortest ramp of the drive.
The position is given from the sensor; whole repeats of the print between sensor and splice line are left out of it.

A ramp that fails (the drive coasts, or does not stop) leaves the position to chance and counts as missed, even where the sequence
would find out before it splices. A stop without any mark counts as missed when the step `registered in` is entered.
Source: textbook kinematics (constant deceleration).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Holds, Monitor, PrecedenceMonitor, StopwatchMonitor
from seqcheck.language.expression import And
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, Requirement, Sequence
from seqcheck.plant.device_entry import latest_us
from seqcheck.plant.drive import ramp_time
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange
from seqcheck.requirements.moment import (
    condition_in,
    moments_of,
    name_at,
    needed_condition,
    negated,
    steps_named,
)
from seqcheck.requirements.requirement import Figure, RequirementKind, Spread

MM_PER_M = 1000.0
ROUNDING_US = 1e-6
"""What floating point may have lost of a limit that is a whole number of microseconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisteredStop:
    """The numbers of one requirement: speed, the drive's ramp, and the window that the position must fall into."""

    speed_m_per_s: float
    ramp: TimeRange
    least_mm: float
    most_mm: float

    def position_mm(self, wait_us: float, ramp_us: float) -> float:
        """Web from mark to standstill: v x wait + v/2 x ramp."""
        return self.speed_m_per_s * MM_PER_M * (wait_us + ramp_us / 2) / MICROSECONDS_PER_SECOND

    def wait_us(self, position_mm: float, ramp_us: float) -> float:
        """The wait from mark to ramp that ends at a position; the inverse of `position_mm`."""
        return position_mm / MM_PER_M / self.speed_m_per_s * MICROSECONDS_PER_SECOND - ramp_us / 2

    @property
    def latest_wait_us(self) -> int:
        """The longest wait with which the longest ramp still ends inside the window."""
        return math.floor(self.wait_us(self.most_mm, latest_us(self.ramp)) + ROUNDING_US)

    @property
    def earliest_wait_us(self) -> int:
        """The shortest wait with which the shortest ramp still reaches the window."""
        return max(0, math.ceil(self.wait_us(self.least_mm, self.ramp.earliest_us) - ROUNDING_US))


def registered_stop(requirement: Requirement, sequence: Sequence) -> RegisteredStop:
    """The numbers of a requirement.

    Raises SequenceFileError if the drive is none, the speed is zero, or no wait could keep the tolerance.
    """
    position_mm, tolerance_mm = requirement.value("stop position", float), requirement.value("tolerance", float)
    speed_m_per_s = requirement.value("speed", float)
    assert position_mm is not None and tolerance_mm is not None and speed_m_per_s is not None, "the reader asks"
    if speed_m_per_s == 0:
        raise _problem(requirement, "speed", "a speed above zero", "0")
    stop = RegisteredStop(
        speed_m_per_s=speed_m_per_s,
        ramp=_ramp(requirement, sequence),
        least_mm=position_mm - tolerance_mm,
        most_mm=position_mm + tolerance_mm,
    )
    if stop.latest_wait_us < stop.earliest_wait_us or stop.latest_wait_us < 1:
        least_mm, most_mm = stop.position_mm(0, stop.ramp.earliest_us), stop.position_mm(0, latest_us(stop.ramp))
        found = f"a ramp that alone takes {least_mm:.3f} to {most_mm:.3f} mm"
        raise _problem(requirement, "tolerance", "a position and tolerance that some wait could keep", found)
    return stop


def _ramp(requirement: Requirement, sequence: Sequence) -> TimeRange:
    device = _drive(requirement, sequence)
    shared = sequence.machine.unwind
    return ramp_time(device, "stop", shared.stop if shared else None)


def _drive(requirement: Requirement, sequence: Sequence) -> Device:
    name = requirement.value("drive", str) or ""
    device = sequence.device(name)
    if device is None or device.type_name != "drive":
        raise _problem(requirement, "drive", "a device of type drive", repr(name))
    return device


def _problem(requirement: Requirement, field: str, expected: str, found: str) -> SequenceFileError:
    entry = requirement.entry(field)
    place = requirement.place if entry is None else entry.place
    return SequenceFileError([Problem(place=place, expected=expected, found=found)])


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    stop, drive = registered_stop(requirement, sequence), _drive(requirement, sequence).name
    mark, unless = needed_condition(requirement, "mark"), condition_in(requirement, "unless")
    at_speed, slowing = (name_at(requirement, f"{drive}.{fact}") for fact in ("is_at_speed", "is_slowing"))
    cancel = moments_of(unless) if unless is not None else ()
    creeping = (mark, at_speed) if unless is None else (mark, at_speed, negated(unless))
    ramp_us = latest_us(stop.ramp)
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(And(requirement.place, creeping)),),
            end=(Holds(slowing),),
            cancel=cancel,
            at_most_us=stop.latest_wait_us,
            at_least_us=stop.earliest_wait_us,
            length_us=stop.latest_wait_us + 1,
        ),
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(slowing),),
            end=(Holds(name_at(requirement, f"{drive}.is_stopped")),),
            cancel=cancel,
            at_most_us=ramp_us,
            length_us=ramp_us + 1,
        ),
        PrecedenceMonitor(
            requirement=requirement.id,
            first=(Holds(mark),),
            second=steps_named(requirement, sequence, "registered in"),
            since=(Holds(at_speed),),
        ),
    )


def _measured(
    requirement: Requirement, sequence: Sequence, spreads: tuple[Spread | None, ...]
) -> tuple[Figure, ...]:
    """The farthest and the nearest position, in mm from the sensor."""
    wait = spreads[0]
    if wait is None:
        return ()
    stop = registered_stop(requirement, sequence)
    farthest_mm = stop.position_mm(wait.longest_us, latest_us(stop.ramp))
    nearest_mm = stop.position_mm(wait.shortest_us, stop.ramp.earliest_us)
    quantity = "web from mark to standstill"
    return (
        Figure(quantity=f"{quantity}, most", unit="mm", worst=farthest_mm, limit=stop.most_mm),
        Figure(quantity=f"{quantity}, least", unit="mm", worst=nearest_mm, limit=stop.least_mm, is_least=True),
    )


STOP_POSITION = RequirementKind(
    name="stop_position",
    meaning="a web stopped at a printed mark rests within a tolerance of where it should",
    fields=(
        Field(
            name="stop position",
            kind=FieldKind.LENGTH,
            meaning="web that passes from the mark's passing its sensor to standstill",
            required=True,
        ),
        Field(name="tolerance", kind=FieldKind.LENGTH, meaning="how far off it may be, either way", required=True),
        Field(name="mark", kind=FieldKind.CONDITION, meaning="the mark is in front of its sensor", required=True),
        Field(name="drive", kind=FieldKind.NAME, meaning="the drive that moves and stops the web", required=True),
        Field(name="speed", kind=FieldKind.SPEED, meaning="speed of the web when the mark comes", required=True),
        Field(
            name="registered in",
            kind=FieldKind.NAME,
            meaning="the step whose entry takes the web for registered; a mark must have been seen",
            required=True,
        ),
        Field(name="unless", kind=FieldKind.CONDITION, meaning="what abandons the registered stop"),
    ),
    monitors=_monitors,
    measured=_measured,
    needs_given=True,
    on_machine=True,
)
