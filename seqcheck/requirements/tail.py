"""Tail: no more than so much web is left on the expiring roll's core at the splice.

The picture: the end-of-roll switch says low while web for `remaining` (at line speed) is still on the core. The line uses it up
until the unwind stops for the splice; what is left then is waste that the operator strips off the core.

    tail = v (remaining - t_speed) - v/2 t_stop

with t_speed from low (or from the last return to line speed since) to the step in which the unwind is told to stop, and t_stop its
ramp. Most tail: the latest `remaining`, the shortest t_speed over all runs and the shortest ramp. What was used before an
interruption since low, and what the unwind takes while it starts, is not subtracted: with interruptions the value is a bound.
The counterpart, that the roll does not end too soon, is `roll lasts until`.
Source: continuity; area under a linear ramp.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Holds, Monitor, StopwatchMonitor
from seqcheck.language.expression import And
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, Requirement, Sequence
from seqcheck.plant.device_entry import latest_us
from seqcheck.plant.drive import ramp_time
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange
from seqcheck.requirements.moment import name_at, negated, steps_named
from seqcheck.requirements.requirement import Figure, RequirementKind, Spread

MM_PER_M = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tail:
    """The numbers of one requirement: line speed, what is left at low, the unwind's shortest stop, and the most allowed."""

    speed_m_per_s: float
    remaining_us: int
    shortest_stop_us: int
    most_m: float

    def tail_m(self, at_speed_us: float) -> float:
        """Web left if the unwind ran at line speed for so long since low; never below nothing."""
        left_us = self.remaining_us - at_speed_us - self.shortest_stop_us / 2
        return max(0.0, self.speed_m_per_s * left_us / MICROSECONDS_PER_SECOND)

    @property
    def shortest_run_us(self) -> int:
        """The shortest time at line speed after which no more than the allowed tail is left."""
        allowed_us = self.most_m / self.speed_m_per_s * MICROSECONDS_PER_SECOND
        return max(0, math.ceil(self.remaining_us - self.shortest_stop_us / 2 - allowed_us))


def tail_of(requirement: Requirement, sequence: Sequence) -> Tail:
    """The numbers of a requirement.

    Raises SequenceFileError if the file has no such roll on a drive, or no line speed.
    """
    most_mm = requirement.value("tail at most", float)
    assert most_mm is not None, "the reader asks for it"
    roll, drive, line = _roll(requirement, sequence), _drive(requirement, sequence), sequence.machine.line
    remaining = roll.value("remaining", TimeRange)
    if line is None or remaining is None:
        raise _missing(requirement, "a section line, and a roll with a remaining time", "not both in this file")
    shared = sequence.machine.unwind
    return Tail(
        speed_m_per_s=line.speed_m_per_s,
        remaining_us=latest_us(remaining),
        shortest_stop_us=ramp_time(drive, "stop", shared.stop if shared else None).earliest_us,
        most_m=most_mm / MM_PER_M,
    )


def _roll(requirement: Requirement, sequence: Sequence) -> Device:
    name = requirement.value("roll", str)
    rolls = [part for part in sequence.devices if part.type_name == "roll" and name in (None, part.name)]
    if not rolls:
        raise _missing(requirement, "a device of type roll", f"none called {name!r}" if name else "none")
    return rolls[0]


def _drive(requirement: Requirement, sequence: Sequence) -> Device:
    name = _roll(requirement, sequence).value("unwind", str) or ""
    device = sequence.device(name)
    if device is None or device.type_name != "drive":
        raise _missing(requirement, "a roll that sits on a device of type drive", repr(name))
    return device


def _missing(requirement: Requirement, expected: str, found: str) -> SequenceFileError:
    return SequenceFileError([Problem(place=requirement.place, expected=expected, found=found)])


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    tail = tail_of(requirement, sequence)
    low = name_at(requirement, f"{_roll(requirement, sequence).name}.is_low")
    at_speed = name_at(requirement, f"{_drive(requirement, sequence).name}.is_at_speed")
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(And(requirement.place, (low, at_speed))),),
            end=steps_named(requirement, sequence, "stopping in"),
            # A stop for another reason ends this measurement; another begins when the unwind is back at speed.
            cancel=(Holds(negated(at_speed)), Holds(negated(low))),
            at_most_us=None,
            at_least_us=tail.shortest_run_us,
            # Later than that the roll is empty in any case.
            length_us=max(tail.remaining_us, tail.shortest_run_us) + 1,
        ),
    )


def _measured(
    requirement: Requirement, sequence: Sequence, spreads: tuple[Spread | None, ...]
) -> tuple[Figure, ...]:
    """The longest tail, in metres."""
    (run,) = spreads
    if run is None:
        return ()
    tail = tail_of(requirement, sequence)
    longest_m = tail.tail_m(run.shortest_us)
    return (Figure(quantity="web left on the core", unit="m", worst=longest_m, limit=tail.most_m),)


TAIL = RequirementKind(
    name="tail",
    meaning="no more than so much web is left on the expiring roll's core at the splice",
    fields=(
        Field(name="tail at most", kind=FieldKind.LENGTH, meaning="the longest tail allowed", required=True),
        Field(
            name="stopping in",
            kind=FieldKind.NAME,
            meaning="the step in which the unwind is told to stop for the splice",
            required=True,
        ),
        Field(name="roll", kind=FieldKind.NAME, meaning="the expiring roll; default: the only one"),
    ),
    monitors=_monitors,
    measured=_measured,
    needs_given=True,
    on_machine=True,
)
