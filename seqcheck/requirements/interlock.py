"""Interlock: an output is on only while its permissives hold.

Two judgements. *Energise*: in the read that turns the output on, every permissive was true in the inputs it read. *Drop*: after a
permissive is lost, the output is off within the stated time. Where a permissive speaks of the machine (`hood.is_closed`),
the motion that the output drives is judged instead, run-down included, and the stated time is the stopping time
that a minimum distance (ISO 13855) needs. A permissive that returns before the output is off ends the drop: an interruption shorter
than a scan can be missed by any controller.
"""

from __future__ import annotations

from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.condition import names_of
from seqcheck.kernel.observer import (
    Holds,
    Monitor,
    PrecedenceMonitor,
    ReadMonitor,
    StateMonitor,
    StopwatchMonitor,
)
from seqcheck.language.expression import Expression, Or
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.moment import both, name_at, needed_condition, negated
from seqcheck.requirements.requirement import RequirementKind


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    output = requirement.value("interlock", str)
    assert output is not None, "the reader asks for an output"
    needs = needed_condition(requirement, "only while")
    drop_us = requirement.value("drop within", int)
    if speaks_of_machine(needs, sequence):
        return _on_machine(requirement, sequence, output, needs, drop_us)
    energise = ReadMonitor(requirement=requirement.id, output=output, needs=needs)
    if drop_us is None:
        return (energise,)
    return energise, _drop(requirement, name_at(requirement, output), needs, drop_us)


def _on_machine(
    requirement: Requirement, sequence: Sequence, output: str, needs: Expression, drop_us: int | None
) -> tuple[Monitor, ...]:
    energised = name_at(requirement, output)
    motion = motion_of(requirement, sequence, output)
    energise = PrecedenceMonitor(
        requirement=requirement.id,
        first=(Holds(needs),),
        second=(Holds(energised),),
        since=(Holds(negated(needs)),),
    )
    if drop_us is None:
        bad = both(requirement, motion, negated(needs))
        return energise, StateMonitor(requirement=requirement.id, bad=bad, parts=(motion,))
    return energise, _drop(requirement, motion, needs, drop_us)


def _drop(requirement: Requirement, active: Expression, needs: Expression, drop_us: int) -> StopwatchMonitor:
    return StopwatchMonitor(
        requirement=requirement.id,
        start=(Holds(both(requirement, active, negated(needs))),),
        end=(Holds(negated(active)),),
        cancel=(Holds(needs),),
        at_most_us=drop_us,
        length_us=drop_us + 1,
    )


def speaks_of_machine(condition: Expression, sequence: Sequence) -> bool:
    """Whether the condition names a fact of a device rather than only what the controller is told."""
    devices = {device.name for device in sequence.devices} | {circuit.name for circuit in sequence.circuits}
    return any(name.split(".")[0] in devices and "." in name for name in names_of(condition))


def motion_of(requirement: Requirement, sequence: Sequence, output: str) -> Expression:
    """The output, or any motion of the devices that it drives."""
    moving: list[Expression] = [name_at(requirement, output)]
    for behaviour in behaviours_of(sequence):
        driven = any(output in names_of(drive.condition) for drive in behaviour.drives)
        if driven and "is_moving" in behaviour.facts:
            moving.append(name_at(requirement, f"{behaviour.device}.is_moving"))
    return moving[0] if len(moving) == 1 else Or(requirement.place, tuple(moving))


INTERLOCK = RequirementKind(
    name="interlock",
    meaning="an output is on only while its permissives hold",
    fields=(
        Field(name="interlock", kind=FieldKind.OUTPUT, meaning="the output", required=True),
        Field(name="only while", kind=FieldKind.CONDITION, meaning="its permissives", required=True),
        Field(
            name="drop within",
            kind=FieldKind.TIME,
            meaning="from the loss of a permissive to the output off (to standstill, where a permissive is a fact)",
        ),
    ),
    monitors=_monitors,
)
