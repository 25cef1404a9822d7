"""Finds the parts of a sequence that were changed: every part of both under a name of its own, then the two lists side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from seqcheck.compare.part_change import PartChange, PartKind
from seqcheck.errors import Place
from seqcheck.language.expression import Expression, to_text
from seqcheck.language.field import Signal
from seqcheck.language.sequence import Action, Chart, Circuit, Device, Sequence, Step
from seqcheck.quantities.time import TimeRange, format_time


@dataclass(frozen=True, slots=True)
class _Part:
    """A part: what kind, what it says, and where it stands."""

    kind: PartKind
    text: str
    place: Place


_Parts = dict[str, _Part]


def changed_parts(old: Sequence, new: Sequence) -> tuple[PartChange, ...]:
    """The changes from `old` to `new`, in the order of the new file, what is gone at the end."""
    before, after = dict(_parts(old)), dict(_parts(new))
    both = [_change(where, before.get(where), part) for where, part in after.items() if _differs(before.get(where), part)]
    gone = [_change(where, part, None) for where, part in before.items() if where not in after]
    return (*both, *gone)


def _differs(old: _Part | None, new: _Part) -> bool:
    return old is None or old.text != new.text


def _change(where: str, old: _Part | None, new: _Part | None) -> PartChange:
    shown = new or old
    assert shown is not None, "one of the two sequences has the part"
    return PartChange(
        kind=shown.kind,
        where=where,
        old="" if old is None else old.text,
        new="" if new is None else new.text,
        place=shown.place,
    )


def _parts(sequence: Sequence) -> Iterator[tuple[str, _Part]]:
    start = Place(sequence.file, 1, 1)
    yield "scan period", _Part(PartKind.TIMING, _text(sequence.scan.period), start)
    yield "scan write", _Part(PartKind.TIMING, _text(sequence.scan.write), start)
    yield from _machine(sequence, start)
    for device in sequence.devices:
        yield from _device(device)
    for circuit in sequence.circuits:
        yield from _circuit(circuit)
    for flag in sequence.flags:
        yield flag.name, _Part(PartKind.FLAG, "declared", flag.place)
    for alarm in sequence.alarms:
        yield alarm.name, _Part(PartKind.ALARM, f"{alarm.text!r}, cleared by {to_text(alarm.clear)}", alarm.place)
    yield "order of charts", _Part(PartKind.CHART, ", ".join(chart.name for chart in sequence.charts), start)
    for chart in sequence.charts:
        yield from _chart(chart)


def _machine(sequence: Sequence, start: Place) -> Iterator[tuple[str, _Part]]:
    for section in fields(sequence.machine):
        data = getattr(sequence.machine, section.name)
        for field in fields(data) if data is not None else ():
            value = getattr(data, field.name)
            if value is not None:
                kind = PartKind.TIMING if isinstance(value, TimeRange) else PartKind.MACHINE
                yield f"{section.name} {field.name}", _Part(kind, _text(value), start)


def _device(device: Device) -> Iterator[tuple[str, _Part]]:
    hazard = f", hazard {device.hazard}" if device.hazard else ""
    yield device.name, _Part(PartKind.DEVICE, f"{device.type_name}{hazard}{_failures(device)}", device.place)
    for entry in device.entries:
        kind = PartKind.TIMING if isinstance(entry.value, TimeRange) else PartKind.DEVICE
        yield f"{device.name} {entry.name}", _Part(kind, _text(entry.value), entry.place)


def _failures(device: Device) -> str:
    parts = ""
    if device.excluded_failures:
        parts += f", without {', '.join(device.excluded_failures)}"
    if device.intermittent_failures:
        parts += f", intermittent {', '.join(device.intermittent_failures)}"
    return parts


def _circuit(circuit: Circuit) -> Iterator[tuple[str, _Part]]:
    channels = " | ".join(to_text(channel) for channel in circuit.channels)
    reset = "by itself" if circuit.reset is None else to_text(circuit.reset)
    discrepancy = "" if circuit.discrepancy_us is None else f", discrepancy {format_time(circuit.discrepancy_us)}"
    yield circuit.name, _Part(PartKind.CIRCUIT, f"{channels}; reset {reset}{discrepancy}", circuit.place)
    yield f"{circuit.name} drop", _Part(PartKind.TIMING, _text(circuit.drop), circuit.place)


def _chart(chart: Chart) -> Iterator[tuple[str, _Part]]:
    for step in chart.steps:
        name = f"{chart.name}.{step.name}"
        yield name, _Part(PartKind.STEP, "initial step" if step.initial else "step", step.place)
        yield from _actions(name, step)
        if step.watchdog is not None:
            text = f"within {format_time(step.watchdog.limit_us)}, alarm {step.watchdog.alarm}"
            yield f"{name} watchdog", _Part(PartKind.TIMING, text, step.watchdog.place)
        yield from _transitions(name, chart, step)


def _actions(name: str, step: Step) -> Iterator[tuple[str, _Part]]:
    for action in step.actions:
        where = f"{name} writes {action.variable} {action.qualifier}"
        yield where, _Part(PartKind.OUTPUT, _action(action), action.place)


def _action(action: Action) -> str:
    return action.qualifier if action.time_us is None else f"{action.qualifier} {format_time(action.time_us)}"


def _transitions(name: str, chart: Chart, step: Step) -> Iterator[tuple[str, _Part]]:
    """The ways out of a step; several to one target are numbered, so that each has a name of its own."""
    count: dict[str, int] = {}
    transitions = chart.transitions_of(step)
    for transition in transitions:
        number = count[transition.target] = count.get(transition.target, 0) + 1
        where = f"{name} to {transition.target}" + (f" ({number})" if number > 1 else "")
        yield where, _Part(PartKind.TRANSITION, to_text(transition.condition), transition.place)
    if len(transitions) > 1:
        order = ", ".join(transition.target for transition in transitions)
        yield f"{name} priority", _Part(PartKind.TRANSITION, order, step.place)


def _text(value: object) -> str:
    if isinstance(value, Expression):
        return to_text(value)
    match value:
        case TimeRange():
            latest = "any later time" if value.latest_us is None else format_time(value.latest_us)
            return f"{format_time(value.earliest_us)} .. {latest}"
        case Signal(name=name, delay=delay):
            return name if delay is None else f"{name}, delay {_text(delay)}"
        case tuple():
            return ", ".join(_text(part) for part in value)
        case bool() | str():
            return str(value)
        case float():
            return f"{value:g}"
        case _:
            return _without_places(value)


def _without_places(value: object) -> str:
    """Free-form states and acts: each field in words, but for where it was written."""
    if not hasattr(value, "__dataclass_fields__"):
        return str(value)
    shown = [part.name for part in fields(value) if part.name != "place" and getattr(value, part.name)]  # type: ignore[arg-type]
    return f"({'; '.join(f'{name} {_text(getattr(value, name))}' for name in shown)})"
