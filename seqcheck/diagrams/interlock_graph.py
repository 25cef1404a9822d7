"""The interlock graph: what permits what, from left to right.

On the left the conditions that must hold, then the moments at which they are asked for (a step is entered that turns the output on)
and the safety circuits, then the hazardous outputs, on the right what they move. What is asked for in every read (a way out of the
step) is not drawn: it takes away, it does not permit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.diagrams.condition_lines import condition_lines
from seqcheck.diagrams.drawing import Drawing, Edge, Node, NodeKind
from seqcheck.diagrams.hazard import Hazards, hazard_text, names_driving
from seqcheck.language.expression import And, Expression, to_text
from seqcheck.language.sequence import Chart, Circuit, Sequence, Step, Transition
from seqcheck.plant.behaviour import Behaviour

LEGEND = (
    "Left: conditions that must all hold. Middle: the step whose entry turns the output on, and from where.",
    "Dashed: safety circuits, which act on devices whatever the controller does.",
    "Right: hazardous outputs, thick and (!), and the devices that they drive.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _TurnOn:
    """Entering `step` from `source` turns `output` on."""

    chart: Chart
    source: str
    step: str
    output: str
    condition: Expression

    @property
    def key(self) -> str:
        """The key of its box."""
        return f"entry {self.chart.name} {self.source} {self.step}"


def interlock_graph(sequence: Sequence, machines: tuple[Behaviour, ...], hazards: Hazards) -> Drawing:
    """The graph of all hazardous outputs of `sequence`."""
    entries = tuple(_turn_ons(sequence, hazards))
    outputs = tuple(dict.fromkeys(entry.output for entry in entries))
    circuits = tuple(circuit for circuit in sequence.circuits if _moved_by(circuit.name, sequence, machines))
    nodes = (
        *_condition_nodes(entries, circuits),
        *_entry_nodes(entries),
        *(_circuit_node(circuit) for circuit in circuits),
        *(_output_node(output, hazards) for output in outputs),
        *_device_nodes(sequence, machines),
    )
    edges = (*_entry_edges(entries), *_energy_edges(circuits, sequence, machines), *_drive_edges(outputs, sequence, machines))
    return Drawing(
        name="interlocks",
        title=("What permits what", f"{sequence.name}, revision {sequence.revision}"),
        legend=LEGEND,
        nodes=nodes,
        edges=tuple(dict.fromkeys(edges)),
        direction="right",
        page="upright",
    )


def _turn_ons(sequence: Sequence, hazards: Hazards) -> Iterator[_TurnOn]:
    for chart in sequence.charts:
        for source in chart.steps:
            for way in chart.transitions_of(source):
                target = next(step for step in chart.steps if step.name == way.target)
                for output in _newly_on(source, target, hazards):
                    yield _turn_on(chart, source, way, output)


def _newly_on(source: Step, target: Step, hazards: Hazards) -> Iterator[str]:
    before = {action.variable for action in source.actions}
    for action in target.actions:
        if action.variable in hazards and action.variable not in before:
            yield action.variable


def _turn_on(chart: Chart, source: Step, way: Transition, output: str) -> _TurnOn:
    return _TurnOn(chart=chart, source=source.name, step=way.target, output=output, condition=way.condition)


def _parts(condition: Expression) -> tuple[Expression, ...]:
    return condition.operands if isinstance(condition, And) else (condition,)


def _asked(entries: tuple[_TurnOn, ...], circuits: tuple[Circuit, ...]) -> Iterator[tuple[str, str, Expression]]:
    """(chart, key of what asks, condition) triples."""
    for entry in entries:
        for part in _parts(entry.condition):
            yield entry.chart.name, entry.key, part
    for circuit in circuits:
        for channel in circuit.channels:
            for part in _parts(channel):
                yield "", f"circuit {circuit.name}", part


def _condition_nodes(entries: tuple[_TurnOn, ...], circuits: tuple[Circuit, ...]) -> Iterator[Node]:
    shown: set[str] = set()
    for chart, _, part in _asked(entries, circuits):
        key = f"condition {to_text(part)}"
        if key not in shown:
            shown.add(key)
            yield Node(key=key, kind=NodeKind.SIGNAL, sections=(condition_lines(part, chart),), rank="first")


def _entry_nodes(entries: tuple[_TurnOn, ...]) -> Iterator[Node]:
    shown: set[str] = set()
    for entry in entries:
        if entry.key not in shown:
            shown.add(entry.key)
            lines = (f"{entry.chart.name}.{entry.step}", f"entered from {entry.source}")
            yield Node(key=entry.key, kind=NodeKind.CHART, sections=(lines,))


def _circuit_node(circuit: Circuit) -> Node:
    return Node(
        key=f"circuit {circuit.name}", kind=NodeKind.CIRCUIT, sections=((circuit.name, "safety circuit"),)
    )


def _output_node(output: str, hazards: Hazards) -> Node:
    return Node(
        key=f"output {output}",
        kind=NodeKind.OUTPUT,
        sections=((f"{output}  {hazard_text(hazards[output])}",),),
        is_hazard=True,
    )


def _hazardous(sequence: Sequence, machines: tuple[Behaviour, ...]) -> Iterator[tuple[Behaviour, str]]:
    for machine in machines:
        device = sequence.device(machine.device)
        if device is not None and device.hazard is not None:
            yield machine, device.hazard


def _device_nodes(sequence: Sequence, machines: tuple[Behaviour, ...]) -> Iterator[Node]:
    for machine, hazard in _hazardous(sequence, machines):
        lines = (machine.device, hazard_text([hazard]))
        yield Node(
            key=f"device {machine.device}", kind=NodeKind.DEVICE, sections=(lines,), is_hazard=True, rank="last"
        )


def _moved_by(circuit: str, sequence: Sequence, machines: tuple[Behaviour, ...]) -> tuple[str, ...]:
    """The hazardous devices that need the energy of a circuit."""
    return tuple(
        machine.device
        for machine, _ in _hazardous(sequence, machines)
        if any(name.partition(".")[0] == circuit for name in names_driving(machine))
    )


def _entry_edges(entries: tuple[_TurnOn, ...]) -> Iterator[Edge]:
    for entry in entries:
        for part in _parts(entry.condition):
            yield Edge(tail=f"condition {to_text(part)}", head=entry.key)
        yield Edge(tail=entry.key, head=f"output {entry.output}", is_hazard=True)


def _energy_edges(
    circuits: tuple[Circuit, ...], sequence: Sequence, machines: tuple[Behaviour, ...]
) -> Iterator[Edge]:
    for circuit in circuits:
        for channel in circuit.channels:
            for part in _parts(channel):
                yield Edge(tail=f"condition {to_text(part)}", head=f"circuit {circuit.name}")
        for device in _moved_by(circuit.name, sequence, machines):
            yield Edge(tail=f"circuit {circuit.name}", head=f"device {device}", is_dashed=True)


def _drive_edges(outputs: tuple[str, ...], sequence: Sequence, machines: tuple[Behaviour, ...]) -> Iterator[Edge]:
    for machine, _ in _hazardous(sequence, machines):
        for name in names_driving(machine):
            if name in outputs:
                yield Edge(tail=f"output {name}", head=f"device {machine.device}", is_hazard=True)
