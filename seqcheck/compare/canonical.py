"""A sequence without what has no influence on behaviour: places, comments, layout, notes, texts, names of internal flags.

Two sequences with equal forms behave alike; the reverse need not hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from seqcheck.errors import Place
from seqcheck.language.expression import Name, walk
from seqcheck.language.expression_tree import Expression
from seqcheck.language.sequence import Action, Chart, Sequence

Form = tuple[object, ...]

WORDS_ONLY = {"text", "note", "prompt", "clause", "excluded_because"}
"""Fields that people read and nothing acts on."""


def behaviour_form(sequence: Sequence) -> Form:
    """All of the sequence that can change what it does; equal forms mean the same behaviour, failures included."""
    names = _flag_names(sequence)
    return (
        _form(sequence.scan, names),
        _form(sequence.machine, names),
        tuple(_form(device, names) for device in sorted(sequence.devices, key=lambda device: device.name)),
        tuple(_form(circuit, names) for circuit in sorted(sequence.circuits, key=lambda circuit: circuit.name)),
        tuple(_form(alarm, names) for alarm in sorted(sequence.alarms, key=lambda alarm: alarm.name)),
        tuple(_form(chart, names) for chart in sequence.charts),
    )


def _form(value: object, flags: dict[str, str]) -> object:
    if isinstance(value, Place):
        return None
    if isinstance(value, Name):
        return ("Name", flags.get(value.text, value.text))
    if isinstance(value, Action):
        return ("Action", flags.get(value.variable, value.variable), value.qualifier, value.time_us)
    if isinstance(value, tuple):
        return tuple(_form(part, flags) for part in value)
    if is_dataclass(value):
        kept = [part.name for part in fields(value) if part.name not in WORDS_ONLY]
        return (type(value).__name__, *((name, _form(getattr(value, name), flags)) for name in kept))
    return value


def _flag_names(sequence: Sequence) -> dict[str, str]:
    """A name for each flag by where it is first used, so that what the file calls it does not matter.

    The signs keep it from being the name of anything in a file.
    """
    flags = {flag.name for flag in sequence.flags}
    used = dict.fromkeys(name for chart in sequence.charts for name in _used(chart) if name in flags)
    return {name: f"<flag {number}>" for number, name in enumerate(used)}


def _used(chart: Chart) -> Iterator[str]:
    for step in chart.steps:
        yield from (action.variable for action in step.actions)
        for transition in chart.transitions_of(step):
            yield from _names(transition.condition)


def _names(expression: Expression) -> Iterator[str]:
    return (part.text for part in walk(expression) if isinstance(part, Name))
