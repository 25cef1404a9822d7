"""A run as a value change dump, which wave viewers show: steps, outputs, inputs, positions of devices, curves.

One scope each for charts, outputs, inputs and devices and, of a run with physics, curves (real variables; a comment says the
unit). A chart's variable holds the number of its active step, a device's the number of its position; comments at the top say which
number is which.
Source: IEEE 1364-2001 clause 18 (value change dump file), 3.7.1 (escaped identifiers); clause numbers from
memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from heapq import merge

from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.kernel.state import State
from seqcheck.simulate.curves import Curve, curves_at, sample_times_us
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.recording import STEP_US
from seqcheck.simulate.segment import S_PER_US

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


def value_change_dump(
    network: Network,
    schedule: Schedule,
    end_us: int,
    date: str = "",
    record: MotionRecord | None = None,
    step_us: int = STEP_US,
) -> str:
    """The text of the dump from 0 to `end_us`, in microseconds; the same run gives the same text.

    `record`: the curves of the run, at every corner and at least every `step_us`.
    """
    variables = _variables(network)
    curves, times_us = _sampled(record, step_us)
    header = _header(variables, [*_curve_declarations(curves, len(variables))], date)
    changes = _event_changes(network, schedule, variables)
    if curves:
        changes = merge(changes, _curve_changes(curves, times_us, len(variables)), key=lambda item: item[0])
    return "\n".join([*header, *_body(changes, end_us)]) + "\n"


def _sampled(record: MotionRecord | None, step_us: int) -> tuple[tuple[Curve, ...], tuple[int, ...]]:
    if record is None:
        return (), ()
    times_us = sample_times_us(record, step_us)
    return curves_at(record, [time_us * S_PER_US for time_us in times_us]), times_us


def _curve_declarations(curves: tuple[Curve, ...], first: int) -> Iterator[str]:
    for curve in curves:
        yield f"$comment curves.{_text(curve.name)}: {_text(curve.label)} in {curve.unit} $end"
    if curves:
        yield "$scope module curves $end"
        for number, curve in enumerate(curves, start=first):
            yield f"$var real 64 {identifier_code(number)} {_name(curve.name)} $end"
        yield "$upscope $end"


def _curve_changes(
    curves: tuple[Curve, ...], times_us: tuple[int, ...], first: int
) -> Iterator[tuple[int, list[str]]]:
    shown: list[str] = [""] * len(curves)
    for place, time_us in enumerate(times_us):
        values = [f"r{curve.values[place]:.9g}" for curve in curves]
        yield (
            time_us,
            [
                f"{value} {identifier_code(first + number)}"
                for number, value in enumerate(values)
                if value != shown[number]
            ],
        )
        shown = values


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


def _header(variables: tuple[Variable, ...], curves: list[str], date: str) -> Iterator[str]:
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
    yield from curves
    yield "$enddefinitions $end"


def _name(name: str) -> str:
    """A simple identifier as it is, any other escaped: a backslash before, a space after."""
    return name if _SIMPLE.fullmatch(name) else "\\" + re.sub(r"\s", "_", name)


def _text(text: str) -> str:
    """Text in a section that `$end` closes."""
    return text.replace("$", "_")


def _event_changes(
    network: Network, schedule: Schedule, variables: tuple[Variable, ...]
) -> Iterator[tuple[int, list[str]]]:
    """At the start every variable, then at each event those that change."""
    values = _values(network, schedule.start)
    yield 0, [variable.change(value) for variable, value in zip(variables, values, strict=True)]
    for happening in schedule.happenings:
        after = _values(network, happening.edge.target)
        changed = [
            variable.change(value)
            for variable, old, value in zip(variables, values, after, strict=True)
            if old != value
        ]
        values = after
        yield happening.time_us, changed


def _body(changes: Iterable[tuple[int, list[str]]], end_us: int) -> Iterator[str]:
    """The changes in order of time; those at the start as the dump that a viewer begins with."""
    waiting = iter(changes)
    yield "#0"
    yield "$dumpvars"
    _, first = next(waiting)
    yield from first
    yield from _rest(waiting, end_us)


def _rest(waiting: Iterator[tuple[int, list[str]]], end_us: int) -> Iterator[str]:
    shown_us, is_dump = 0, True
    for time_us, lines in waiting:
        if is_dump and not (time_us == 0 and lines and lines[0].startswith("r")):
            yield "$end"
            is_dump = False
        if lines and time_us != shown_us:
            shown_us = time_us
            yield f"#{shown_us}"
        yield from lines
    if is_dump:
        yield "$end"
    if end_us > shown_us:
        yield f"#{end_us}"
