"""Who reads and who writes what in a sequence: inputs, outputs and flags with their places."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.errors import Place
from seqcheck.language.expression import Expression, names_in
from seqcheck.language.field import FieldKind, FreeState, Signal
from seqcheck.language.sequence import Action, Chart, CommonTransitions, Device, Entry, Sequence, Step
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.reader.declarations import field_kinds


def inputs_of(sequence: Sequence) -> dict[str, Place]:
    """Return every input with the place where it is declared."""
    inputs: dict[str, Place] = {}
    for device in sequence.devices:
        for entry in device.entries:
            for signal in _signals(entry):
                inputs.setdefault(signal.name, entry.place)
    for circuit in sequence.circuits:
        if circuit.signal is not None:
            inputs.setdefault(circuit.signal, circuit.place)
    return inputs


def outputs_of(sequence: Sequence) -> dict[str, Place]:
    """Return every output with the place where it is first named."""
    outputs: dict[str, Place] = {}
    for device in sequence.devices:
        for entry in _entries_of_kind(device, FieldKind.OUTPUT):
            if isinstance(entry.value, str):
                outputs.setdefault(entry.value, entry.place)
        for entry in _entries_of_kind(device, FieldKind.OUTPUTS):
            for name in entry.value if isinstance(entry.value, tuple) else ():
                outputs.setdefault(str(name), entry.place)
    return outputs


def _signals(entry: Entry) -> Iterator[Signal]:
    if isinstance(entry.value, Signal):
        yield entry.value
    elif isinstance(entry.value, tuple):
        for part in entry.value:
            yield from part.signals if isinstance(part, FreeState) else ()


def _entries_of_kind(device: Device, kind: FieldKind) -> Iterator[Entry]:
    kinds = dict(field_kinds(DEVICE_TYPES[device.type_name].fields))
    return (entry for entry in device.entries if kinds[entry.name] is kind)


def actions_of(sequence: Sequence) -> Iterator[tuple[Chart, Action]]:
    """Yield every action with its chart, in the order of the file."""
    for chart in sequence.charts:
        for step in chart.steps:
            for action in step.actions:
                yield chart, action


def chart_conditions(chart: Chart) -> Iterator[Expression]:
    """Yield every condition of a chart."""
    groups: tuple[Step | CommonTransitions, ...] = (*chart.common, *chart.steps)
    for group in groups:
        for transition in group.transitions:
            yield transition.condition


def controller_conditions(sequence: Sequence) -> Iterator[Expression]:
    """Yield every condition that the controller computes."""
    for chart in sequence.charts:
        yield from chart_conditions(chart)
    for alarm in sequence.alarms:
        yield alarm.clear


def wired_conditions(sequence: Sequence) -> Iterator[Expression]:
    """Yield every condition of circuits and devices."""
    for circuit in sequence.circuits:
        yield from circuit.channels
        if circuit.reset is not None:
            yield circuit.reset
    for device in sequence.devices:
        for entry in device.entries:
            yield from entry_conditions(entry)


def requirement_conditions(sequence: Sequence) -> Iterator[Expression]:
    """Yield every condition of the requirements."""
    for requirement in sequence.requirements:
        for entry in requirement.entries:
            yield from entry_conditions(entry)


def entry_conditions(entry: Entry) -> Iterator[Expression]:
    """Yield every condition in one entry of a device or requirement."""
    parts = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    for part in parts:
        if isinstance(part, FreeState):
            yield from (move.when for move in part.moves if move.when is not None)
        elif isinstance(part, Expression):
            yield part


def names_read(conditions: Iterator[Expression]) -> frozenset[str]:
    """Return the text of every name in the conditions."""
    return frozenset(name.text for condition in conditions for name in names_in(condition))
