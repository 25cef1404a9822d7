"""Every duration that a file states for machine and controller, with a way to make it longer.

Ranges grow at their late end: that is what "may take longer" means. `delay`s of signals, levels and ratios are not durations here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product

from seqcheck.errors import Place
from seqcheck.language.expression import Expression, StepTime, TimerCall, to_text, walk
from seqcheck.language.expression_tree import And, EdgeCall, Not, Or, Xor
from seqcheck.language.sequence import (
    Chart,
    Circuit,
    CommonTransitions,
    Device,
    Entry,
    Sequence,
    Step,
    Transition,
)
from seqcheck.quantities.time import TimeRange, format_time

Longer = Callable[[Sequence, int], Sequence]
"""The sequence with the duration so many microseconds longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Duration:
    """A duration of the file: its name as in the file, where it stands, its value as text, and how to make it longer.

    `owner` is the device, circuit or chart that it belongs to; empty for the scan and the machine's sections.
    """

    name: str
    place: Place | None
    text: str
    owner: str
    longer: Longer


def durations_of(sequence: Sequence) -> tuple[Duration, ...]:
    """All durations, in file order: scan, machine sections, devices, circuits, charts."""
    return (
        *_scan(sequence),
        *_sections(sequence),
        *(found for device in sequence.devices for found in _device(device)),
        *(found for circuit in sequence.circuits for found in _circuit(circuit)),
        *(found for chart in sequence.charts for found in _chart(chart)),
    )


def _later(within: TimeRange, growth_us: int) -> TimeRange:
    latest_us = None if within.latest_us is None else within.latest_us + growth_us
    return TimeRange(within.earliest_us, latest_us)


def _range_text(within: TimeRange) -> str:
    if within.latest_us is None:
        return f"from {format_time(within.earliest_us)}"
    if within.earliest_us == within.latest_us:
        return format_time(within.latest_us)
    return f"{format_time(within.earliest_us)}..{format_time(within.latest_us)}"


def _scan(sequence: Sequence) -> Iterator[Duration]:
    def longer(name: str) -> Longer:
        return lambda of, growth_us: replace(
            of, scan=replace(of.scan, **{name: _later(getattr(of.scan, name), growth_us)})
        )

    for name in ("period", "write"):
        within: TimeRange = getattr(sequence.scan, name)
        yield Duration(
            name=f"scan.{name}", place=None, text=_range_text(within), owner="", longer=longer(name)
        )


def _sections(sequence: Sequence) -> Iterator[Duration]:
    def longer(section: str, name: str) -> Longer:
        def grown(of: Sequence, growth_us: int) -> Sequence:
            data = getattr(of.machine, section)
            changed = replace(data, **{name: _later(getattr(data, name), growth_us)})
            return replace(of, machine=replace(of.machine, **{section: changed}))

        return grown

    for section, name in product(("line", "unwind", "rewind"), ("stop", "start")):
        within = getattr(getattr(sequence.machine, section), name, None)
        if isinstance(within, TimeRange) and within.latest_us is not None:
            yield Duration(
                name=f"{section}.{name}",
                place=None,
                text=_range_text(within),
                owner="",
                longer=longer(section, name),
            )


def _device(device: Device) -> Iterator[Duration]:
    for entry in device.entries:
        if _is_duration(entry):
            yield Duration(
                name=f"{device.name}.{entry.name}",
                place=entry.place,
                text=_entry_text(entry),
                owner=device.name,
                longer=_longer_entry(device.name, entry.name),
            )


def _is_duration(entry: Entry) -> bool:
    value = entry.value
    is_range = isinstance(value, TimeRange) and value.latest_us is not None
    return is_range or (isinstance(value, int) and not isinstance(value, bool))


def _entry_text(entry: Entry) -> str:
    value = entry.value
    if isinstance(value, TimeRange):
        return _range_text(value)
    assert isinstance(value, int), "the only other durations are whole microseconds"
    return format_time(value)


def _longer_entry(device: str, name: str) -> Longer:
    def grown(entry: Entry, growth_us: int) -> Entry:
        value = entry.value
        if isinstance(value, TimeRange):
            return replace(entry, value=_later(value, growth_us))
        assert isinstance(value, int), "the only other durations are whole microseconds"
        return replace(entry, value=value + growth_us)

    def longer(of: Sequence, growth_us: int) -> Sequence:
        return replace(
            of,
            devices=tuple(
                part
                if part.name != device
                else replace(
                    part,
                    entries=tuple(grown(entry, growth_us) if entry.name == name else entry for entry in part.entries),
                )
                for part in of.devices
            ),
        )

    return longer


def _circuit(circuit: Circuit) -> Iterator[Duration]:
    def longer(of: Sequence, growth_us: int) -> Sequence:
        return replace(
            of,
            circuits=tuple(
                replace(part, drop=_later(part.drop, growth_us)) if part.name == circuit.name else part
                for part in of.circuits
            ),
        )

    yield Duration(
        name=f"{circuit.name}.drop",
        place=circuit.place,
        text=_range_text(circuit.drop),
        owner=circuit.name,
        longer=longer,
    )


# -- charts --------------------------------------------------------------------------------------------------


def _chart(chart: Chart) -> Iterator[Duration]:
    for step in chart.steps:
        if step.watchdog is not None:
            yield Duration(
                name=f"{chart.name}.{step.name} within",
                place=step.watchdog.place,
                text=format_time(step.watchdog.limit_us),
                owner=chart.name,
                longer=_longer_watchdog(chart.name, step.name),
            )
    for transition in _transitions(chart):
        for node in walk(transition.condition):
            if isinstance(node, StepTime | TimerCall) and (not isinstance(node, StepTime) or node.at_least):
                yield Duration(
                    name=f"{chart.name}: {to_text(node)}",
                    place=node.place,
                    text=format_time(node.limit_us if isinstance(node, StepTime) else node.preset_us),
                    owner=chart.name,
                    longer=_longer_condition(chart.name, node),
                )


def _transitions(chart: Chart) -> Iterator[Transition]:
    for group in chart.common:
        yield from group.transitions
    for step in chart.steps:
        yield from step.transitions


def _with_chart(of: Sequence, name: str, changed: Callable[[Chart], Chart]) -> Sequence:
    return replace(of, charts=tuple(changed(part) if part.name == name else part for part in of.charts))


def _longer_watchdog(chart: str, step: str) -> Longer:
    def grown(part: Step, growth_us: int) -> Step:
        if part.name != step or part.watchdog is None:
            return part
        return replace(part, watchdog=replace(part.watchdog, limit_us=part.watchdog.limit_us + growth_us))

    return lambda of, growth_us: _with_chart(
        of, chart, lambda part: replace(part, steps=tuple(grown(one, growth_us) for one in part.steps))
    )


def _longer_condition(chart: str, node: StepTime | TimerCall) -> Longer:
    """Only the node at this place: the same text elsewhere is a duration of its own."""

    def grown(transitions: tuple[Transition, ...], growth_us: int) -> tuple[Transition, ...]:
        return tuple(
            replace(part, condition=_grown(part.condition, node.place, growth_us)) for part in transitions
        )

    def common(part: CommonTransitions, growth_us: int) -> CommonTransitions:
        return replace(part, transitions=grown(part.transitions, growth_us))

    def longer(of: Sequence, growth_us: int) -> Sequence:
        return _with_chart(
            of,
            chart,
            lambda part: replace(
                part,
                steps=tuple(replace(step, transitions=grown(step.transitions, growth_us)) for step in part.steps),
                common=tuple(common(group, growth_us) for group in part.common),
            ),
        )

    return longer


def _grown(condition: Expression, place: Place, growth_us: int) -> Expression:
    """The condition with the time at `place` longer."""
    match condition:
        case StepTime() if condition.place == place:
            return replace(condition, limit_us=condition.limit_us + growth_us)
        case TimerCall() if condition.place == place:
            return replace(condition, preset_us=condition.preset_us + growth_us)
        case And() | Or() | Xor():
            return replace(condition, operands=tuple(_grown(part, place, growth_us) for part in condition.operands))
        case Not() | EdgeCall() | TimerCall():
            return replace(condition, operand=_grown(condition.operand, place, growth_us))
        case _:
            return condition
