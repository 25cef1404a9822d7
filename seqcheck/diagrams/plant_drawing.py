"""The drawing of the plant: who drives what, and who is told what, from left to right.

The picture: on the left stand those that drive (charts with their outputs, circuits with their energy), in the
middle the devices, then the signals, on the right those that read them. A chart or circuit that does both stands on
both sides, so that links lead from left to right and can be followed with a finger.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from seqcheck.diagrams.drawing import Drawing, Edge, Node, NodeKind
from seqcheck.diagrams.hazard import Hazards, hazard_text, names_driving
from seqcheck.language.expression import Expression, names_in
from seqcheck.language.sequence import Chart, Sequence
from seqcheck.plant.behaviour import Behaviour

DRIVEN = "Driven by outputs"
FOLLOWING = "Follow other devices"
BY_THEMSELVES = "People and surroundings"

LEGEND = (
    "Left: what drives. Right: what reads. Charts and circuits that do both stand on both sides.",
    "Dashed link: one device follows another. Dashed frame: safety circuit outside the controller.",
    "Thick frame, thick link and (!): can hurt somebody.",
)

ALARMS = "alarms"
"""The key of the box for the conditions that clear alarms."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reader:
    """A box on the right: what it is, and the names that its conditions use."""

    key: str
    kind: NodeKind
    label: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plant:
    """The parts of a plant by name: `signals` to the owner that gives each, `owners` are devices and circuits."""

    sequence: Sequence
    machines: tuple[Behaviour, ...]
    hazards: Hazards
    signals: dict[str, str]
    outputs: tuple[str, ...]
    readers: tuple[_Reader, ...]


def plant_drawing(sequence: Sequence, machines: tuple[Behaviour, ...], hazards: Hazards) -> Drawing:
    """The drawing of the machine of `sequence`; `machines` are the behaviours of its devices and circuits."""
    plant = _Plant(
        sequence=sequence,
        machines=machines,
        hazards=hazards,
        signals={wire.signal.name: machine.device for machine in machines for wire in machine.wires},
        outputs=_outputs(sequence, machines),
        readers=tuple(_readers(sequence)),
    )
    nodes = tuple(_nodes(plant))
    used = {node.group for node in nodes}
    return Drawing(
        name="plant",
        title=("Plant", f"{sequence.name}, revision {sequence.revision}"),
        legend=LEGEND,
        nodes=nodes,
        edges=tuple(dict.fromkeys(_edges(plant))),
        direction="right",
        groups=tuple(group for group in (DRIVEN, FOLLOWING, BY_THEMSELVES) if group in used),
    )


def _outputs(sequence: Sequence, machines: Iterable[Behaviour]) -> tuple[str, ...]:
    """What actions write and drives read that is neither memory nor a signal, a fact or a step flag."""
    known = {flag.name for flag in sequence.flags} | {alarm.name for alarm in sequence.alarms}
    known |= {wire.signal.name for machine in machines for wire in machine.wires}
    written = (name for chart in sequence.charts for name in _written(chart))
    read = (name for machine in machines for name in names_driving(machine))
    return tuple(dict.fromkeys(name for name in (*written, *read) if name not in known and "." not in name))


def _written(chart: Chart) -> tuple[str, ...]:
    return tuple(dict.fromkeys(action.variable for step in chart.steps for action in step.actions))


def _readers(sequence: Sequence) -> Iterator[_Reader]:
    for chart in sequence.charts:
        conditions = [way.condition for step in chart.steps for way in chart.transitions_of(step)]
        label = (chart.name, "chart")
        yield _reader(f"chart {chart.name} reads", NodeKind.CHART, label, conditions)
    for circuit in sequence.circuits:
        conditions = [*circuit.channels, *([] if circuit.reset is None else [circuit.reset])]
        label = (circuit.name, "circuit")
        yield _reader(f"circuit {circuit.name} reads", NodeKind.CIRCUIT, label, conditions)
    if sequence.alarms:
        clear = [alarm.clear for alarm in sequence.alarms]
        yield _reader(ALARMS, NodeKind.CHART, ("alarms", "clear"), clear)


def _reader(key: str, kind: NodeKind, label: tuple[str, ...], conditions: Iterable[Expression]) -> _Reader:
    names = (name.text for condition in conditions for name in names_in(condition))
    return _Reader(key=key, kind=kind, label=label, names=tuple(dict.fromkeys(names)))


def _nodes(plant: _Plant) -> Iterator[Node]:
    for chart in plant.sequence.charts:
        yield Node(
            key=f"chart {chart.name}", kind=NodeKind.CHART, sections=((chart.name, "chart"),), rank="first"
        )
    for circuit in plant.sequence.circuits:
        label = (circuit.name, "circuit")
        yield Node(key=f"circuit {circuit.name}", kind=NodeKind.CIRCUIT, sections=(label,), rank="first")
    for output in plant.outputs:
        yield _output_node(output, plant)
    for machine in plant.machines:
        if plant.sequence.device(machine.device) is not None:
            yield _device_node(machine, plant)
    for signal in plant.signals:
        yield Node(key=f"signal {signal}", kind=NodeKind.SIGNAL, sections=((signal,),), rank="between")
    for reader in plant.readers:
        yield Node(key=reader.key, kind=reader.kind, sections=(reader.label,), rank="last")


def _output_node(output: str, plant: _Plant) -> Node:
    sign = f"  {hazard_text(plant.hazards[output])}" if output in plant.hazards else ""
    return Node(
        key=f"output {output}",
        kind=NodeKind.OUTPUT,
        sections=((output + sign,),),
        is_hazard=bool(sign),
    )


def _device_node(machine: Behaviour, plant: _Plant) -> Node:
    device = plant.sequence.device(machine.device)
    assert device is not None, "only devices are drawn so"
    lines = (device.type_name.replace("_", " "), *([hazard_text([device.hazard])] if device.hazard else []))
    return Node(
        key=f"device {device.name}",
        kind=NodeKind.DEVICE,
        sections=((device.name,), lines),
        is_hazard=device.hazard is not None,
        group=_group(machine, plant),
    )


def _group(machine: Behaviour, plant: _Plant) -> str:
    driving = names_driving(machine)
    if any(name in plant.outputs for name in driving):
        return DRIVEN
    return FOLLOWING if driving else BY_THEMSELVES


def _edges(plant: _Plant) -> Iterator[Edge]:
    for chart in plant.sequence.charts:
        for name in _written(chart):
            if name in plant.outputs:
                yield Edge(tail=f"chart {chart.name}", head=f"output {name}", is_hazard=name in plant.hazards)
    for machine in plant.machines:
        if plant.sequence.device(machine.device) is not None:
            yield from _drive_edges(machine, plant)
    for signal, owner in plant.signals.items():
        yield Edge(tail=_driver_key(owner, plant), head=f"signal {signal}")
    for reader in plant.readers:
        for name in reader.names:
            yield from _edge_from(name, reader.key, plant)


def _drive_edges(machine: Behaviour, plant: _Plant) -> Iterator[Edge]:
    device = plant.sequence.device(machine.device)
    for name in names_driving(machine):
        is_hazard = device is not None and device.hazard is not None and name in plant.outputs
        yield from _edge_from(name, f"device {machine.device}", plant, is_hazard=is_hazard)


def _edge_from(name: str, head: str, plant: _Plant, *, is_hazard: bool = False) -> Iterator[Edge]:
    """The link from what `name` stands for; none from flags, alarms and steps, which stay inside the controller."""
    owner, is_fact, _ = name.partition(".")
    if name in plant.outputs:
        yield Edge(tail=f"output {name}", head=head, is_hazard=is_hazard)
    elif name in plant.signals:
        yield Edge(tail=f"signal {name}", head=head)
    elif is_fact and any(machine.device == owner for machine in plant.machines):
        tail = _driver_key(owner, plant)
        yield Edge(tail=tail, head=head, is_dashed=tail.startswith("device "))


def _driver_key(owner: str, plant: _Plant) -> str:
    kind = "circuit" if plant.sequence.device(owner) is None else "device"
    return f"{kind} {owner}"
