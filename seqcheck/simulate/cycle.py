"""A cycle of a sequence, from entering one step to entering another, and the shortest way of acts that leads to it.

Finding the way is a search over resting states only: from power-up the machine is left alone until nothing comes any more, then
each possible act is tried. A machine of dozens of devices has some hundred resting states, so this takes moments.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from seqcheck.errors import UsageError, nearest_name
from seqcheck.kernel.network import Network
from seqcheck.kernel.start import normal_start
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.physical_data import PhysicalData
from seqcheck.simulate.physics import Physics
from seqcheck.simulate.quick_run import QuickRun
from seqcheck.simulate.scan_times import ScanTimes
from seqcheck.simulate.state_graph import Node, StateGraph

MOST_EVENTS = 2_000
"""Events until a machine left alone has come to rest; more is one that never does."""
MOST_RESTS = 5_000
"""Resting states looked at."""
FILLS = {"accumulator": "fill", "take_up": "empty"}
"""The output that begins a cycle, by type of device."""
HELD_US = 200_000
"""How long a finger stays on a button. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """From entering step `start` to entering step `end`, both of chart `chart`."""

    chart: str
    start: str
    end: str

    @property
    def text(self) -> str:
        """As on the command line."""
        return f"{self.chart}.{self.start}..{self.chart}.{self.end}"


@dataclass(frozen=True, slots=True)
class Ready:
    """A machine at rest from which one act begins the cycle: its state, its physics, the acts that led there, and that act."""

    node: Node
    physics: Physics | None
    acts: tuple[tuple[str, str], ...]
    last: tuple[str, str]


def cycle_of(sequence: Sequence, text: str | None) -> Cycle:
    """The cycle as typed, `chart.step..chart.step`, or that of the accumulator: from the first step that fills it back to before.

    An accumulator before a rewind is emptied instead.

    Raises UsageError if there is no such step, or none was typed and the file has none that fills an accumulator.
    """
    if text is not None:
        return _typed(sequence, text)
    fill = next((device.value(FILLS[device.type_name], str) for device in sequence.devices if device.type_name in FILLS), None)
    for chart in sequence.charts:
        filling = [step.name for step in chart.steps if any(part.variable == fill for part in step.actions)]
        for start in filling:
            for step in chart.steps:
                leads = any(part.target == start for part in chart.transitions_of(step))
                if leads and step.name not in filling:
                    return Cycle(chart=chart.name, start=start, end=step.name)
    raise UsageError("--cycle: this file has no step that fills or empties an accumulator; say which cycle: CHART.STEP..CHART.STEP")


def _typed(sequence: Sequence, text: str) -> Cycle:
    start, dots, end = text.partition("..")
    known = [f"{chart.name}.{step.name}" for chart in sequence.charts for step in chart.steps]
    if not dots:
        raise UsageError(f"--cycle: expected CHART.STEP..CHART.STEP, found {text!r}")
    for name in (start, end):
        if name not in known:
            nearest = nearest_name(name, known)
            hint = f"; did you mean {nearest}?" if nearest else ""
            raise UsageError(f"--cycle: the sequence has no step {name!r}{hint}")
    chart = start.rpartition(".")[0]
    if chart != end.rpartition(".")[0]:
        raise UsageError(f"--cycle: both steps must be of one chart, found {text!r}")
    return Cycle(chart=chart, start=start.rpartition(".")[2], end=end.rpartition(".")[2])


def step_numbers(network: Network, cycle: Cycle) -> tuple[tuple[int, int], tuple[int, int]]:
    """Chart and step numbers of the start and the end of the cycle."""
    block = next(block for block in network.controller.charts if block.name == cycle.chart)
    names = block.step_names
    return (block.number, names.index(cycle.start)), (block.number, names.index(cycle.end))


def way_to(graph: StateGraph, data: PhysicalData | None, cycle: Cycle) -> Ready:
    """The fewest acts after power-up that lead into the cycle, everything as early as it may.

    Raises UsageError if no acts do.
    """
    (begin, end) = step_numbers(graph.network, cycle)
    # First from where the cycle also ends, so that it is one among many; else from anywhere.
    found = _search(graph, data, begin, end) or _search(graph, data, begin, None)
    if found is None:
        raise UsageError(f"--cycle: no acts of the operator or the surroundings lead into {cycle.chart}.{cycle.start}")
    return found


def _search(
    graph: StateGraph, data: PhysicalData | None, begin: tuple[int, int], before: tuple[int, int] | None
) -> Ready | None:
    first = graph.node(normal_start(graph.network)[0].state)
    run = _started(graph, first, None if data is None else Physics(data, first.view, _least), None)  # type: ignore[arg-type]
    waiting = deque([(run, ())] if _rests(run) else [])
    seen = {run.node}
    while waiting and len(seen) < MOST_RESTS:
        rest, acts = waiting.popleft()
        for edge in graph.acts(rest.node):
            act = (edge.event.subject, edge.event.action)
            following = _started(graph, rest.node, rest.physics, act)
            if not _rests(following, begin):
                if _entered(following, begin) and (before is None or rest.node.state.memory[before[0]] == before[1]):
                    return Ready(rest.node, rest.physics, acts, act)
                continue
            if following.node not in seen:
                seen.add(following.node)
                waiting.append((following, (*acts, act)))  # type: ignore[arg-type]
    return None


def _least(least: int, most: int) -> int:
    del most
    return least


def _started(graph: StateGraph, node: Node, physics: Physics | None, act: tuple[str, str] | None) -> QuickRun:
    """A run of earliest times from a state at rest, beginning with an act."""
    from numpy import full

    period_us = graph.network.shortest_period_us
    script = () if act is None else act_script(act, 1)
    moved = physics if physics is None or act is None else physics.restarted(_least)
    scans = ScanTimes(lambda count: full(count, period_us))
    return QuickRun(graph, node, lambda earliest_us, _latest_us: earliest_us, scans, moved, script)


def act_script(act: tuple[str, str], time_us: int) -> tuple[Intervention, ...]:
    """Somebody acts; what is pressed is let go again, where it can be."""
    first = Intervention(time_us=time_us, does=Does.ACT, subject=act[0], action=act[1])
    if act[1] != "presses":
        return (first,)
    return (first, Intervention(time_us=time_us + HELD_US, does=Does.ACT, subject=act[0], action="releases"))


def _rests(run: QuickRun, begin: tuple[int, int] | None = None) -> bool:
    """Let it run until nothing comes any more; False if that never is, or it enters the step `begin`."""
    for _ in range(MOST_EVENTS):
        link = run.step()
        if link is None:
            return _finished(run)
        if begin is not None and begin in link.entered:
            return False
    return False


def _finished(run: QuickRun) -> bool:
    """Let the physics come to rest too."""
    physics = run.physics
    if physics is not None:
        while physics.corners:
            physics.advance(physics.corners[0].time_s)
    return True


def _entered(run: QuickRun, step: tuple[int, int]) -> bool:
    return any(step in link.entered for _, link in run.links[-1:])
