"""Static findings: what reads oddly in a sequence that is well formed, found without running it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from seqcheck.errors import Place
from seqcheck.language.expression import Constant, StepTime, names_in, to_text, walk
from seqcheck.language.sequence import Chart, CommonTransitions, Sequence, Step, Transition
from seqcheck.reader.truth_table import TruthTable
from seqcheck.reader.usage import (
    actions_of,
    chart_conditions,
    controller_conditions,
    inputs_of,
    names_read,
    outputs_of,
    requirement_conditions,
    wired_conditions,
)
from seqcheck.reader.waiting import inputs_by_operator, waits_unwatched

STORED_QUALIFIERS = ("S", "SD", "DS", "SL")
"""Qualifiers whose action goes on until R. Source: IEC 61131-3, action qualifiers (from memory)."""

CODES = {
    "unreachable": "a step that no way leads to",
    "no-watchdog": "a step that waits for the machine without a time limit",
    "overlap": "two ways out of a step whose conditions can hold together",
    "constant": "a condition that always or never holds",
    "order": "a condition that reads a step of a chart further down in the file",
    "never-reset": "a stored action that nothing resets",
    "two-charts": "an output that two charts write",
    "unused-input": "an input that no condition reads",
    "unwritten-output": "an output that no action writes",
    "unread-flag": "a flag that is written and never read",
}
"""Every kind of finding and its meaning."""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One finding: where, a sentence, and its kind (a key of `CODES`)."""

    place: Place
    text: str
    code: str


def static_findings(sequence: Sequence) -> tuple[Finding, ...]:
    """Return all findings in order of place."""
    found = [*_storage(sequence), *_writers(sequence), *_unused(sequence), *_waits(sequence)]
    for chart in sequence.charts:
        found += [*_unreachable(chart), *_constant(chart), *_overlaps(chart)]
    return tuple(sorted({*found, *_order(sequence)}))


def _unreachable(chart: Chart) -> Iterator[Finding]:
    reached = _reached(chart)
    for step in chart.steps:
        if step.name not in reached:
            text = f"step {chart.name}.{step.name} is reached from no step that can become active"
            yield Finding(step.place, text, "unreachable")


def _reached(chart: Chart) -> set[str]:
    steps = {step.name: step for step in chart.steps}
    waiting, reached = [chart.initial.name], {chart.initial.name}
    while waiting:
        ways = chart.transitions_of(steps[waiting.pop()])
        targets = {way.target for way in ways if not TruthTable(way.condition).never_holds(way.condition)}
        waiting += sorted(targets - reached)
        reached |= targets
    return reached


def _waits(sequence: Sequence) -> Iterator[Finding]:
    inputs = inputs_by_operator(sequence)
    for chart in sequence.charts:
        for step in chart.steps:
            if waits_unwatched(step, inputs):
                text = f"step {chart.name}.{step.name} waits for the machine without 'within'"
                yield Finding(step.place, text, "no-watchdog")


def _constant(chart: Chart) -> Iterator[Finding]:
    groups: tuple[Step | CommonTransitions, ...] = (*chart.steps, *chart.common)
    for group in groups:
        last = len(group.transitions) - 1
        for index, way in enumerate(group.transitions):
            yield from _constant_way(way, is_last=index == last)


def _constant_way(way: Transition, *, is_last: bool) -> Iterator[Finding]:
    """A plain TRUE as the last way out is how a chart says 'go on at the next read', so it is none."""
    table = TruthTable(way.condition)
    condition = to_text(way.condition)
    if table.never_holds(way.condition):
        yield Finding(way.condition.place, f"the condition {condition} never holds", "constant")
    elif table.always_holds(way.condition) and not (is_last and isinstance(way.condition, Constant)):
        yield Finding(way.condition.place, f"the condition {condition} always holds", "constant")


def _overlaps(chart: Chart) -> Iterator[Finding]:
    """Ways out of any step come before a step's own, which is a stated priority: only equals are compared."""
    for step in chart.steps:
        yield from _overlaps_in(step.transitions, f"step {chart.name}.{step.name}")
    for group in chart.common:
        yield from _overlaps_in(group.transitions, f"any step of {chart.name}")


def _overlaps_in(ways: tuple[Transition, ...], where: str) -> Iterator[Finding]:
    for first, second in combinations(ways, 2):
        if first.target != second.target and _overlap(first, second):
            text = (
                f"in {where}, the ways to {first.target} ({to_text(first.condition)}) and to {second.target} "
                f"({to_text(second.condition)}) can be open together; {first.target} is taken"
            )
            yield Finding(second.place, text, "overlap")


def _overlap(first: Transition, second: Transition) -> bool:
    one, other = first.condition, second.condition
    table = TruthTable(one, other)
    return table.can_hold(one, other) and not table.implies(one, other) and not table.implies(other, one)


def _order(sequence: Sequence) -> Iterator[Finding]:
    for index, chart in enumerate(sequence.charts):
        later = {other.name for other in sequence.charts[index + 1 :]}
        for place, step in _steps_read(chart):
            if step.partition(".")[0] in later:
                text = (
                    f"chart {chart.name} reads {step} of a chart further down in the file, "
                    "so it sees the step before this scan's move"
                )
                yield Finding(place, text, "order")


def _steps_read(chart: Chart) -> Iterator[tuple[Place, str]]:
    for condition in chart_conditions(chart):
        for name in names_in(condition):
            if name.text.endswith((".X", ".late")):
                yield name.place, name.text
        for part in walk(condition):
            if isinstance(part, StepTime):
                yield part.place, f"{part.step}.T"


def _storage(sequence: Sequence) -> Iterator[Finding]:
    """An alarm is kept until its `clear` holds, so storing it needs no reset."""
    alarms = {alarm.name for alarm in sequence.alarms}
    reset = {action.variable for _, action in actions_of(sequence) if action.qualifier == "R"}
    for _, action in actions_of(sequence):
        if action.qualifier in STORED_QUALIFIERS and action.variable not in reset | alarms:
            text = f"{action.variable} is stored with {action.qualifier} and reset by no action R"
            yield Finding(action.place, text, "never-reset")


def _writers(sequence: Sequence) -> Iterator[Finding]:
    outputs = outputs_of(sequence)
    first: dict[str, str] = {}
    reported: set[tuple[str, str]] = set()
    for chart, action in actions_of(sequence):
        other = first.setdefault(action.variable, chart.name)
        pair = (action.variable, chart.name)
        if action.variable in outputs and other != chart.name and pair not in reported:
            reported.add(pair)
            text = f"output {action.variable} is written by chart {chart.name} and by chart {other}"
            yield Finding(action.place, text, "two-charts")


def _unused(sequence: Sequence) -> Iterator[Finding]:
    controlled = names_read(controller_conditions(sequence))
    wired = names_read(wired_conditions(sequence))
    written = {action.variable for _, action in actions_of(sequence)}
    for name, place in inputs_of(sequence).items():
        if name not in controlled | wired:
            yield Finding(place, f"input {name} is read by no condition", "unused-input")
    for name, place in outputs_of(sequence).items():
        if name not in written:
            yield Finding(place, f"output {name} is written by no action", "unwritten-output")
    required = names_read(requirement_conditions(sequence))
    for flag in sequence.flags:
        if flag.name in written and flag.name not in controlled | required:
            yield Finding(flag.place, f"flag {flag.name} is written and never read", "unread-flag")
