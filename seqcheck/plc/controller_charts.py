"""The controller's part of a sequence: what is exported, and what an import gives.

Devices, circuits and requirements are the machine's and the reviewer's; here only their inputs and outputs are left, each with
what it is for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.language.field import Field, FieldKind, FreeState, Signal
from seqcheck.language.sequence import Alarm, Chart, Device, Entry, Flag, Sequence
from seqcheck.plant.catalogue import DEVICE_TYPES


@dataclass(frozen=True, slots=True)
class Terminal:
    """An input or an output of the controller; `comment` says for people what is wired to it."""

    name: str
    comment: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllerCharts:
    """Charts in the order in which they run, and the variables they share."""

    name: str
    inputs: tuple[Terminal, ...]
    outputs: tuple[Terminal, ...]
    flags: tuple[Flag, ...]
    alarms: tuple[Alarm, ...]
    charts: tuple[Chart, ...]

    @property
    def driven(self) -> tuple[str, ...]:
        """Everything that actions write: outputs, flags, alarms."""
        outputs = (output.name for output in self.outputs)
        flags = (flag.name for flag in self.flags)
        return (*outputs, *flags, *(alarm.name for alarm in self.alarms))

    def chart_named(self, name: str) -> Chart:
        """The chart called `name`."""
        return next(chart for chart in self.charts if chart.name == name)


def controller_charts(sequence: Sequence) -> ControllerCharts:
    """The controller's part of a sequence."""
    terminals = [found for device in sequence.devices for found in _terminals(device)]
    circuits = [
        Terminal(circuit.signal, f"{circuit.name}, safety circuit")
        for circuit in sequence.circuits
        if circuit.signal is not None
    ]
    return ControllerCharts(
        name=sequence.name,
        inputs=_once([*(part for is_input, part in terminals if is_input), *circuits]),
        outputs=_once(part for is_input, part in terminals if not is_input),
        flags=sequence.flags,
        alarms=sequence.alarms,
        charts=sequence.charts,
    )


def _once(terminals: Iterator[Terminal] | list[Terminal]) -> tuple[Terminal, ...]:
    """One for each name; where several devices share an output, each is named."""
    comments: dict[str, list[str]] = {}
    for terminal in terminals:
        comments.setdefault(terminal.name, []).append(terminal.comment)
    return tuple(Terminal(name, "; ".join(dict.fromkeys(texts))) for name, texts in comments.items())


def _terminals(device: Device) -> Iterator[tuple[bool, Terminal]]:
    """Inputs (True) and outputs (False) that a device declares."""
    kinds = dict(_kinds(DEVICE_TYPES[device.type_name].fields))
    for entry in device.entries:
        is_output = kinds.get(entry.name) in (FieldKind.OUTPUT, FieldKind.OUTPUTS)
        for name, part in _names(entry, is_output):
            words = f"{device.name}, {device.type_name.replace('_', ' ')}: {part.replace('_', ' ')}"
            yield not is_output, Terminal(name, words)


def _kinds(fields: tuple[Field, ...], prefix: str = "") -> Iterator[tuple[str, FieldKind]]:
    for part in fields:
        yield f"{prefix}{part.name}", part.kind
        yield from _kinds(part.members, f"{prefix}{part.name}.")


def _names(entry: Entry, is_output: bool) -> Iterator[tuple[str, str]]:
    """Names of terminals in an entry, and the words for what they tell or drive."""
    part = entry.name.rpartition(".")[2]
    values = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    for value in values:
        if isinstance(value, Signal):
            yield value.name, part
        elif isinstance(value, FreeState):
            yield from ((signal.name, value.name) for signal in value.signals)
        elif is_output and isinstance(value, str):
            yield value, part
