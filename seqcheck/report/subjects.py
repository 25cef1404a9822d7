"""What can hurt somebody, as rows of a table: hazardous outputs, the motions of what they drive, and the energy behind them."""

from __future__ import annotations

from collections.abc import Callable

from seqcheck.diagrams.hazard import names_driving
from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Device, Sequence
from seqcheck.plant.behaviour import Behaviour
from seqcheck.report.interlock_matrix import Subject, SubjectKind

MOTION = "is_moving"
"""The fact of a device that moves."""


def subjects_of(sequence: Sequence) -> tuple[Subject, ...]:
    """Outputs first, then motions, then circuits, each in the order of the file."""
    hazardous = [(part, device.hazard) for part, device in _pairs(sequence) if device and device.hazard]
    outputs: dict[str, list[tuple[str, str]]] = {}
    for behaviour, hazard in hazardous:
        for name in _outputs_driving(behaviour, sequence):
            outputs.setdefault(name, []).append((behaviour.device, hazard))
    found = [Subject(name=name, kind=SubjectKind.OUTPUT, hazards=tuple(pairs)) for name, pairs in outputs.items()]
    for behaviour, hazard in hazardous:
        if MOTION in behaviour.facts:
            pairs = ((behaviour.device, hazard),)
            found.append(Subject(name=f"{behaviour.device}.{MOTION}", kind=SubjectKind.MOTION, hazards=pairs))
    found += [_energy(circuit.name, hazardous) for circuit in sequence.circuits]
    return tuple(found)


def _pairs(sequence: Sequence) -> list[tuple[Behaviour, Device | None]]:
    return [(part, sequence.device(part.device)) for part in behaviours_of(sequence)]


def _outputs_driving(behaviour: Behaviour, sequence: Sequence) -> tuple[str, ...]:
    written = outputs_written(sequence)
    return tuple(name for name in names_driving(behaviour) if name in written)


def _energy(circuit: str, hazardous: list[tuple[Behaviour, str]]) -> Subject:
    pairs = tuple((part.device, hazard) for part, hazard in hazardous if f"{circuit}.is_on" in names_driving(part))
    return Subject(name=f"{circuit}.is_on", kind=SubjectKind.ENERGY, hazards=pairs)


def outputs_written(sequence: Sequence) -> tuple[str, ...]:
    """The outputs that charts write, in the order in which they stand in the file; flags and alarms are none."""
    memory = {flag.name for flag in sequence.flags} | {alarm.name for alarm in sequence.alarms}
    names = (action.variable for chart in sequence.charts for step in chart.steps for action in step.actions)
    return tuple(name for name in dict.fromkeys(names) if name not in memory)


def is_on(network: Network, name: str) -> Callable[[State], bool]:
    """The test whether an output is written, a motion goes on or energy is there."""
    if name in network.names.outputs:
        bit = 1 << network.names.outputs[name]
        return lambda state: state.control.written & bit != 0
    machine, holders = network.names.facts[name]
    return lambda state: state.positions.numbers[machine] in holders
