"""The reachable step graph of a chart: every way that some run without a failure takes, with its shortest and longest time.

A target that many steps lead to (a trip) would hide all else with its links; it stands inside the boxes that lead to it.
"""

from __future__ import annotations

from collections import Counter

from seqcheck.diagrams.drawing import Drawing, Edge, Node, NodeKind
from seqcheck.diagrams.hazard import Hazards, hazard_text
from seqcheck.diagrams.step_times import StepTime, StepTimes
from seqcheck.language.sequence import Chart, Sequence, Step
from seqcheck.quantities.time import format_time

MANY = 4
"""As many ways into one step are not drawn as links."""

LEGEND = (
    "On a link: shortest and longest time in the step before this way out, in all runs without a failure.",
    "'or longer': it waits for somebody. In a box: ways to a step that many steps lead to.",
    "Dashed frame: not entered without a failure. Thick frame and (!): drives a device that can hurt somebody.",
)


def step_graph(chart: Chart, times: StepTimes, sequence: Sequence, hazards: Hazards) -> Drawing:
    """The graph of `chart`, whose ways are `times`."""
    into = Counter(time.target for time in times.times)
    inside = {target for target, count in into.items() if count >= MANY}
    drawn = [time for time in times.times if time.target not in inside]
    reached = {name for time in times.times for name in (time.source, time.target)} | {chart.initial.name}
    levels = {step.name: number for number, step in enumerate(chart.steps)}
    unfinished = () if times.is_complete else ("Not all runs were explored: the times are of those that were.",)
    return Drawing(
        name=f"{chart.name} steps",
        title=(f"Steps of {chart.name} with their times", f"{sequence.name}, revision {sequence.revision}"),
        legend=(*LEGEND, f"People: {times.given}.", *unfinished),
        nodes=tuple(
            _node(step, [time for time in times.times if time.source == step.name and time.target in inside], hazards)
            if step.name in reached
            else _unreached(step)
            for step in chart.steps
        ),
        edges=tuple(_edge(time, levels) for time in drawn),
        page="upright",
    )


def _node(step: Step, inside: list[StepTime], hazards: Hazards) -> Node:
    signs = tuple(
        f"{action.variable}  {hazard_text(hazards[action.variable])}"
        for action in step.actions
        if action.variable in hazards
    )
    ways = tuple(f"to {time.target}: {range_text(time)}" for time in inside)
    sections = ((step.name,), signs, ways)
    return Node(
        key=f"step {step.name}",
        kind=NodeKind.STEP,
        sections=tuple(lines for lines in sections if lines),
        is_initial=step.initial,
        is_hazard=bool(signs),
    )


def _unreached(step: Step) -> Node:
    return Node(
        key=f"step {step.name}", kind=NodeKind.ANY_STEP, sections=((step.name,), ("not without a failure",))
    )


def _edge(time: StepTime, levels: dict[str, int]) -> Edge:
    return Edge(
        tail=f"step {time.source}",
        head=f"step {time.target}",
        label=(f"  {range_text(time)}",),  # blanks keep it off the line
        leads_back=levels[time.target] < levels[time.source],
    )


def range_text(time: StepTime) -> str:
    """`180 ms to 270 ms`, `8 ms or longer`, `8 ms`."""
    if time.worst_us is None:
        return f"{format_time(time.best_us)} or longer"
    if time.worst_us == time.best_us:
        return format_time(time.best_us)
    return f"{format_time(time.best_us)} to {format_time(time.worst_us)}"
