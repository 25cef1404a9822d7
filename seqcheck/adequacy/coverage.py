"""Coverage: which steps, transitions, actions and failures the explorations exercised, and why the others not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from seqcheck.adequacy.change import Way, ways_of
from seqcheck.adequacy.local import Local
from seqcheck.errors import Place
from seqcheck.language.expression import to_text
from seqcheck.language.sequence import Chart, Sequence, Step


class What(StrEnum):
    """What is covered or not."""

    STEP = "step"
    TRANSITION = "transition"
    ACTION = "action"
    FAILURE = "failure"


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """One thing: whether any run exercised it, and if not, why."""

    what: What
    name: str
    place: Place
    is_exercised: bool
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Coverage:
    """Everything that can be exercised, in the order of the file."""

    entries: tuple[Covered, ...]

    def of(self, what: What) -> tuple[Covered, ...]:
        """The entries of one sort."""
        return tuple(entry for entry in self.entries if entry.what is what)


@dataclass(frozen=True, slots=True)
class _Seen:
    """Steps that were active and ways that were taken, by name."""

    steps: frozenset[str]
    ways: frozenset[tuple[str, str, str]]
    failures: frozenset[str]
    known_failures: frozenset[str]
    charts: frozenset[str]
    is_complete: bool


def coverage_of(sequence: Sequence, explored: tuple[Local, ...]) -> Coverage:
    """What the explorations of a sequence's parts exercised: all runs whatever people do, with at most one failure."""
    seen = _seen(explored)
    steps = [entry for chart in sequence.charts for entry in _steps(chart, seen)]
    ways = [_way(way, seen) for way in ways_of(sequence)]
    actions = [entry for chart in sequence.charts for entry in _actions(chart, seen)]
    return Coverage((*steps, *ways, *actions, *_failures(sequence, seen)))


def _seen(explored: tuple[Local, ...]) -> _Seen:
    steps: set[str] = set()
    ways: set[tuple[str, str, str]] = set()
    for local in explored:
        for chart in local.network.controller.charts:
            names = chart.step_names
            for control in local.standings:
                steps.add(f"{chart.name}.{names[control.memory[chart.number]]}")
            for before, _, entered in local.reads:
                for number, target in entered:
                    if number == chart.number:
                        ways.add((chart.name, names[before.memory[number]], names[target]))
    return _Seen(
        frozenset(steps),
        frozenset(ways),
        frozenset(name for local in explored for name in local.failed),
        frozenset(mode.name for local in explored for mode in local.network.failures),
        frozenset(chart.name for local in explored for chart in local.network.controller.charts),
        all(local.is_complete for local in explored),
    )


def _steps(chart: Chart, seen: _Seen) -> Iterator[Covered]:
    for step in chart.steps:
        name = f"{chart.name}.{step.name}"
        yield _covered(What.STEP, name, step.place, name in seen.steps, _why_step(chart, step), seen)


def _why_step(chart: Chart, step: Step) -> str:
    into = [way for other in chart.steps for way in chart.transitions_of(other) if way.target == step.name]
    return "no transition leads to it" if not into else "no transition that leads to it is ever taken"


def _way(way: Way, seen: _Seen) -> Covered:
    target = way.transition.target
    taken = any((way.chart.name, source, target) in seen.ways for source in way.sources)
    active = any(f"{way.chart.name}.{source}" in seen.steps for source in way.sources)
    reason = (
        f"'{to_text(way.transition.condition)}' never decides a read there, or a way before it is taken"
        if active
        else "its step is never active"
    )
    return _covered(What.TRANSITION, way.text, way.transition.place, taken, reason, seen)


def _actions(chart: Chart, seen: _Seen) -> Iterator[Covered]:
    for step in chart.steps:
        for action in step.actions:
            name = f"{action.variable} {action.qualifier} in {chart.name}.{step.name}"
            is_run = f"{chart.name}.{step.name}" in seen.steps
            yield _covered(What.ACTION, name, action.place, is_run, "its step is never active", seen)


def _failures(sequence: Sequence, seen: _Seen) -> Iterator[Covered]:
    places = {device.name: device.place for device in sequence.devices}
    places |= {circuit.name: circuit.place for circuit in sequence.circuits}
    for name in sorted(seen.known_failures):
        device = name.split(".")[0]
        place = places[device]
        reason = "it makes no difference in any run: nothing demands the part that fails"
        yield _covered(What.FAILURE, name, place, name in seen.failures, reason, seen)


def _covered(what: What, name: str, place: Place, is_exercised: bool, reason: str, seen: _Seen) -> Covered:
    if is_exercised:
        reason = ""
    elif not seen.is_complete:
        reason = f"not seen before a limit was reached ({reason}?)"
    return Covered(what=what, name=name, place=place, is_exercised=is_exercised, reason=reason)
