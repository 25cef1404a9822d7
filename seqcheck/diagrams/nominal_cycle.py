"""The nominal cycle: from the last rest before the rarest hazardous act to the rest after it, every time at its shortest.

Nothing in a file says which cycle is the one to be shown. Taken is the chart in which most steps drive something hazardous, and of
its hazardous outputs the one that fewest steps drive (mostly the knife); the run is the shortest way of acts that leads to it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from seqcheck.diagrams.hazard import hazards_of_outputs
from seqcheck.errors import UsageError
from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.start import normal_start
from seqcheck.language.sequence import Chart, Sequence
from seqcheck.simulate.chooser import Scripted, earliest
from seqcheck.simulate.cycle import MOST_EVENTS, Cycle, act_script, way_to
from seqcheck.simulate.physical_data import PhysicalData, physical_data
from seqcheck.simulate.physics import Physics
from seqcheck.simulate.quick_run import QuickRun
from seqcheck.simulate.scan_times import ScanTimes
from seqcheck.simulate.segment import US_PER_S
from seqcheck.simulate.sequence_run import SequenceRun, network_of
from seqcheck.simulate.simulate import simulate
from seqcheck.simulate.state_graph import Node, StateGraph

PAUSE_US = 1_000_000
"""How long a person waits, the machine at rest, before the next act. Common practice, no source."""
LONGEST_US = 180_000_000
"""How long is waited for rest after an act: a machine whose switch stays on may go round for ever."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NominalCycle:
    """The run, shown from `from_us` to `end_us`; `path` are the steps that `chart` goes through then, the first one included."""

    chart: Chart
    goal: str
    simulated: SequenceRun
    from_us: int
    end_us: int
    path: tuple[str, ...]


def nominal_cycle(sequence: Sequence) -> NominalCycle | str:
    """The nominal cycle of `sequence`, or why there is none."""
    goal = _goal(sequence)
    if goal is None:
        return "No step drives anything hazardous, so there is no cycle to show."
    network = network_of(sequence)
    data = physical_data(sequence, network)
    graph = StateGraph(network, data)
    try:
        ready = way_to(graph, data, Cycle(chart=goal[0].name, start=goal[1], end=goal[0].steps[0].name))
    except UsageError:
        return f"No acts of people lead into {goal[0].name}.{goal[1]} without a failure."
    acts = _timed(graph, data, (*ready.acts, ready.last))
    script = tuple(item for act in acts for item in act_script(act.act, act.begin_us))
    last = acts[-1]
    run = simulate(network, Scripted(earliest(), script), until_us=last.rest_us + PAUSE_US, data=data)
    simulated, from_us = SequenceRun(network, run), last.begin_us - PAUSE_US
    steps = _steps(simulated, goal[0])
    end_us = _back_us(steps, from_us) or run.end_us
    return NominalCycle(
        chart=goal[0],
        goal=goal[1],
        simulated=simulated,
        from_us=from_us,
        end_us=end_us,
        path=_path(steps, from_us, end_us),
    )


Entered = list[tuple[int, str]]


def _steps(simulated: SequenceRun, chart: Chart) -> Entered:
    """The active step of `chart` from each event on."""
    block = next(block for block in simulated.network.controller.charts if block.name == chart.name)
    happenings = simulated.run.schedule.happenings
    return [
        (0, block.step_names[simulated.run.schedule.start.memory[block.number]]),
        *((item.time_us, block.step_names[item.edge.target.memory[block.number]]) for item in happenings),
    ]


def _back_us(steps: Entered, from_us: int) -> int | None:
    """When the chart is back in the step in which it was at `from_us`, or None if it does not come back."""
    first = next(step for time_us, step in reversed(steps) if time_us <= from_us)
    later = [(time_us, step) for time_us, step in steps if time_us > from_us]
    left_us = next((time_us for time_us, step in later if step != first), None)
    if left_us is None:
        return None
    return next((time_us for time_us, step in later if time_us > left_us and step == first), None)


def _path(steps: Entered, from_us: int, end_us: int) -> tuple[str, ...]:
    before = [step for time_us, step in steps if time_us <= from_us][-1:]
    path = before
    for time_us, step in steps:
        if from_us < time_us <= end_us and step != path[-1]:
            path.append(step)
    return tuple(path)


def _goal(sequence: Sequence) -> tuple[Chart, str] | None:
    """The chart and the step in which the rarest hazardous output is first on, or None."""
    hazards = hazards_of_outputs(sequence, behaviours_of(sequence))
    driven = {chart.name: _driving(chart, frozenset(hazards)) for chart in sequence.charts}
    chart = max(sequence.charts, key=lambda part: sum(driven[part.name].values()))
    if not driven[chart.name]:
        return None
    rarest = min(reversed(driven[chart.name]), key=lambda name: driven[chart.name][name])
    step = next(step for step in chart.steps if any(action.variable == rarest for action in step.actions))
    return chart, step.name


def _driving(chart: Chart, hazardous: frozenset[str]) -> Counter[str]:
    """How many steps drive each hazardous output."""
    return Counter(
        action.variable for step in chart.steps for action in step.actions if action.variable in hazardous
    )


@dataclass(frozen=True, slots=True)
class _TimedAct:
    """An act at `begin_us`, after which the machine is at rest from `rest_us` on."""

    act: tuple[str, str]
    begin_us: int
    rest_us: int


def _timed(
    graph: StateGraph, data: PhysicalData | None, acts: tuple[tuple[str, str], ...]
) -> tuple[_TimedAct, ...]:
    """Each act a pause after the machine has come to rest from the one before."""
    node = graph.node(normal_start(graph.network)[0].state)
    physics = None if data is None or node.view is None else Physics(data, node.view, _least)
    node, physics, now_us = _rest(graph, node, physics, None)
    found = []
    for act in acts:
        begin_us = now_us + PAUSE_US
        node, physics, lasts_us = _rest(graph, node, physics, act)
        now_us = begin_us + lasts_us
        found.append(_TimedAct(act, begin_us, now_us))
    return tuple(found)


def _rest(
    graph: StateGraph, node: Node, physics: Physics | None, act: tuple[str, str] | None
) -> tuple[Node, Physics | None, int]:
    """The state at rest that `act` leads to, and how long that takes."""
    from numpy import full

    scans = ScanTimes(lambda count: full(count, graph.network.shortest_period_us))
    moved = physics if physics is None or act is None else physics.restarted(_least)
    script = () if act is None else act_script(act, 1)
    run = QuickRun(graph, node, lambda earliest_us, _latest_us: earliest_us, scans, moved, script)
    for _ in range(MOST_EVENTS):
        if run.step() is None or run.now_us > LONGEST_US:
            break
    while moved is not None and moved.corners:
        moved.advance(moved.corners[0].time_s)
    slowest_us = run.now_us if moved is None else max(run.now_us, round(moved.now_s * US_PER_S))
    return run.node, moved, slowest_us


def _least(least: int, most: int) -> int:
    del most
    return least
