"""Imported charts as sections of a sequence file, each part with the line of the text that it came from."""

from __future__ import annotations

import json
from collections.abc import Iterator

from seqcheck.errors import Place
from seqcheck.language.expression import to_text
from seqcheck.language.sequence import Action, Alarm, Chart, Step, Transition
from seqcheck.plc.controller_charts import ControllerCharts, Terminal


def charts_yaml(charts: ControllerCharts, file: str, notes: tuple[str, ...] = ()) -> str:
    """The sections `flags`, `alarms` and `charts`; on top what must be joined by hand, and `notes`."""
    return "\n".join(_lines(charts, file, notes)) + "\n"


def _lines(charts: ControllerCharts, file: str, notes: tuple[str, ...]) -> Iterator[str]:
    yield f"# Read from {file}; comments after a part give the line there."
    yield "# To be joined by hand: sequence, scan, devices with these inputs and outputs, requirements."
    yield from _terminals("inputs", charts.inputs)
    yield from _terminals("outputs", charts.outputs)
    yield from (f"# NOTE: {note}" for note in notes)
    if charts.flags:
        yield f"flags: [{', '.join(flag.name for flag in charts.flags)}]"
    if charts.alarms:
        yield "alarms:"
    yield from (_alarm(alarm) for alarm in charts.alarms)
    yield "charts:"
    for chart in charts.charts:
        yield from _chart(chart)


def _terminals(words: str, terminals: tuple[Terminal, ...]) -> Iterator[str]:
    yield f"# {words}:" + ("" if terminals else " none")
    for terminal in terminals:
        yield f"#   {terminal.name}" + (f"  ({terminal.comment})" if terminal.comment else "")


def _alarm(alarm: Alarm) -> str:
    text, clear = _quoted(alarm.text), _quoted(to_text(alarm.clear))
    return f"  {alarm.name}: {{text: {text}, clear: {clear}}}{_line(alarm.place)}"


def _chart(chart: Chart) -> Iterator[str]:
    yield f"  {chart.name}:{_line(chart.place)}"
    for step in chart.steps:
        yield from _step(step)
    for group in chart.common:
        but = f" but {', '.join(group.excepted)}" if group.excepted else ""
        yield f"    any step{but}:{_line(group.place)}"
        yield from _ways(group.transitions)


def _step(step: Step) -> Iterator[str]:
    fields = list(_fields(step))
    yield f"    {step.name}:{'' if fields else ' {}'}{_line(step.place)}"
    yield from fields


def _fields(step: Step) -> Iterator[str]:
    if step.initial:
        yield "      initial: true"
    if step.prompt:
        yield f"      prompt: {_quoted(step.prompt)}"
    if step.actions:
        yield "      do:"
    yield from (f"        - {_action(action)}{_line(action.place)}" for action in step.actions)
    if step.watchdog is not None:
        yield f"      within: {_time(step.watchdog.limit_us)}{_line(step.watchdog.place)}"
        yield f"      alarm: {step.watchdog.alarm}"
    yield from _ways(step.transitions)


def _action(action: Action) -> str:
    if action.qualifier == "N":
        return action.variable
    time = "" if action.time_us is None else f" {_time(action.time_us)}"
    return f"{{{action.variable}: {_quoted(action.qualifier + time)}}}"


def _ways(ways: tuple[Transition, ...]) -> Iterator[str]:
    if ways:
        yield "      next:"
    for way in ways:
        yield f"        - {{to: {way.target}, if: {_quoted(to_text(way.condition))}}}{_line(way.place)}"


def _line(place: Place) -> str:
    return f"  # line {place.line}" if place.line else ""


def _time(us: int) -> str:
    """With one unit, as a sequence file has it."""
    for unit, size_us in (("s", 1_000_000), ("ms", 1_000)):
        if us % size_us == 0:
            return f"{us // size_us} {unit}"
    return f"{us} us"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
