"""A run as a value change dump, which wave viewers show: steps, outputs, inputs, positions of devices.

One scope each for charts, outputs, inputs and devices. A chart's variable holds the number of its active
step, a device's the number of its position; comments at the top say which number is which.
Source: IEEE 1364-2001 clause 18 (value change dump file), 3.7.1 (escaped identifiers); clause numbers from
memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.kernel.state import State

_FIRST, _LAST = ord("!"), ord("~")
_SIMPLE = re.compile(r"[A-Za-z_][A-Za-z0-9_$]*", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """A variable of the dump. `labels` name its values in order; empty for an on-off variable."""

    scope: str
    name: str
    code: str
    labels: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """Bits needed for every value."""
        return max(1, (len(self.labels) - 1).bit_length())

    def change(self, value: int) -> str:
        """The line that says the variable has `value` now."""
        return f"b{value:b} {self.code}" if self.labels else f"{value}{self.code}"


def value_change_dump(network: Network, schedule: Schedule, end_us: int, date: str = "") -> str:
    """The text of the dump from 0 to `end_us`, in microseconds; the same run gives the same text."""
    variables = _variables(network)
    return "\n".join([*_header(variables, date), *_body(network, schedule, variables, end_us)]) + "\n"


def identifier_code(number: int) -> str:
    """The short name of variable `number`: printable characters from `!` to `~`, least digit first."""
    base = _LAST - _FIRST + 1
    code = chr(_FIRST + number % base)
    while number >= base:
        number = number // base - 1
        code += chr(_FIRST + number % base)
    return code


def _variables(network: Network) -> tuple[Variable, ...]:
    wanted: list[tuple[str, str, tuple[str, ...]]] = []
    wanted += [("charts", chart.name, chart.step_names) for chart in network.controller.charts]
    wanted += [("outputs", name, ()) for name in network.output_names]
    wanted += [("inputs", name, ()) for name in network.signal_names]
    wanted += [
        ("devices", machine.name, tuple(_label(place.mode, place.label) for place in machine.places))
        for machine in network.machines
    ]
    return tuple(
        Variable(scope=scope, name=name, code=identifier_code(number), labels=labels)
        for number, (scope, name, labels) in enumerate(wanted)
    )


def _label(mode: str, position: str) -> str:
    return f"{mode}:{position}" if mode else position


def _values(network: Network, state: State) -> tuple[int, ...]:
    """The value of every variable, in their order."""
    return (
        *(state.memory[chart.number] for chart in network.controller.charts),
        *(state.written >> bit & 1 for bit in range(len(network.output_names))),
        *(state.seen >> bit & 1 for bit in range(len(network.signal_names))),
        *state.plant,
    )


def _header(variables: tuple[Variable, ...], date: str) -> Iterator[str]:
    if date:
        yield f"$date {_text(date)} $end"
    yield "$version seqcheck $end"
    yield "$timescale 1 us $end"
    for variable in variables:
        if variable.labels:
            mapping = " ".join(f"{number}={_text(label)}" for number, label in enumerate(variable.labels))
            yield f"$comment {variable.scope}.{_text(variable.name)}: {mapping} $end"
    scope = ""
    for variable in variables:
        if variable.scope != scope:
            if scope:
                yield "$upscope $end"
            scope = variable.scope
            yield f"$scope module {scope} $end"
        kind = f"reg {variable.width}" if variable.labels else "wire 1"
        yield f"$var {kind} {variable.code} {_name(variable.name)} $end"
    if scope:
        yield "$upscope $end"
    yield "$enddefinitions $end"


def _name(name: str) -> str:
    """A simple identifier as it is, any other escaped: a backslash before, a space after."""
    return name if _SIMPLE.fullmatch(name) else "\\" + re.sub(r"\s", "_", name)


def _text(text: str) -> str:
    """Text in a section that `$end` closes."""
    return text.replace("$", "_")


def _body(
    network: Network, schedule: Schedule, variables: tuple[Variable, ...], end_us: int
) -> Iterator[str]:
    values = _values(network, schedule.start)
    yield "#0"
    yield "$dumpvars"
    yield from (variable.change(value) for variable, value in zip(variables, values, strict=True))
    yield "$end"
    shown_us = 0
    for happening in schedule.happenings:
        after = _values(network, happening.edge.target)
        changed = [
            variable.change(value)
            for variable, old, value in zip(variables, values, after, strict=True)
            if old != value
        ]
        values = after
        if changed and happening.time_us != shown_us:
            shown_us = happening.time_us
            yield f"#{shown_us}"
        yield from changed
    if end_us > shown_us:
        yield f"#{end_us}"
