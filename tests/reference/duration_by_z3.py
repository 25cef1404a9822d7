"""Worst and best durations of an acyclic sequence as an optimisation problem for z3, over dense time.

The situations of a sequence without free acts and without faults, timing left aside, form a graph without circles
(`TickModel` gives its edges; ranges need not be whole ticks here). A run is a path: each node has a time and, for each of
its clocks, the time at which that began. Taking an edge asks that the fired clock has run at least its earliest time and
that no clock of the node has run more than its latest. z3 maximises and minimises the time between two entries over all
paths at once.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import networkx
import z3  # type: ignore[import-untyped]
from reference.tick_model import Edge, Situation, TickModel

from seqcheck.language.sequence import Sequence


@dataclass(frozen=True, slots=True)
class Durations:
    """Longest and shortest time, in whole microseconds."""

    worst_us: int
    best_us: int


@dataclass(slots=True)
class _Graph:
    """All situations up to the end step; `ways` are edges as (source, edge, target)."""

    model: TickModel
    chart: str
    last: str
    numbers: dict[Situation, int] = field(default_factory=dict)
    ways: list[tuple[int, Edge, int]] = field(default_factory=list)

    def step_of(self, situation: Situation) -> str:
        return str(situation.memory[self.model.controller.names.index(self.chart)])

    def build(self) -> None:
        waiting = [self.model.start()]
        self.numbers[waiting[0]] = 0
        while waiting:
            situation = waiting.pop()
            if self.step_of(situation) == self.last:
                continue
            for edge in self.model.edges(situation):
                assert edge.fired is not None, "only sequences without free acts"
                if edge.after not in self.numbers:
                    self.numbers[edge.after] = len(self.numbers)
                    waiting.append(edge.after)
                self.ways.append((self.numbers[situation], edge, self.numbers[edge.after]))
        graph = networkx.DiGraph((source, target) for source, _, target in self.ways)
        assert networkx.is_directed_acyclic_graph(graph), "only sequences without circles"


def durations(sequence: Sequence, chart: str, first: str, last: str) -> Durations:
    """Longest and shortest time from the entry of step `first` (the start counts) to that of `last`."""
    graph = _Graph(TickModel(sequence, 0), chart, last)
    graph.build()
    found = []
    for direction in ("maximize", "minimize"):
        optimizer = z3.Optimize()
        duration = _encode(optimizer, graph, first)
        objective = getattr(optimizer, direction)(duration)
        assert optimizer.check() == z3.sat, "the last step is not reached"
        value = objective.value()
        assert z3.is_int_value(value), f"no finite duration: {value}"
        found.append(value.as_long())
    return Durations(*found)


def _encode(optimizer: z3.Optimize, graph: _Graph, first: str) -> z3.ArithRef:
    situations = list(graph.numbers)
    times = [z3.Int(f"time_{number}") for number in range(len(situations))]
    starts = [z3.Int(f"start_{number}") for number in range(len(situations))]
    taken = [z3.Bool(f"way_{number}") for number in range(len(graph.ways))]
    duration = z3.Int("duration")
    optimizer.add(times[0] == 0, *(_began(0, clock) == 0 for clock in graph.model.pending(situations[0])))
    if graph.step_of(situations[0]) == first:
        optimizer.add(starts[0] == 0)
    for number, situation in enumerate(situations):
        _encode_path(optimizer, graph, number, graph.step_of(situation) == graph.last, taken)
    for way, (source, edge, target) in zip(taken, graph.ways, strict=True):
        enters = graph.step_of(edge.after)
        is_entry = enters == first and graph.step_of(situations[source]) != first
        begins = starts[target] == (times[target] if is_entry else starts[source])
        optimizer.add(z3.Implies(way, z3.And(begins, *_timing(graph, source, edge, target, times))))
        if enters == graph.last:
            optimizer.add(z3.Implies(way, duration == times[target] - starts[source]))
    return duration


def _encode_path(optimizer: z3.Optimize, graph: _Graph, number: int, is_end: bool, taken: list[z3.BoolRef]) -> None:
    """A node that is entered is left by exactly one way, but for the end; no other is left."""
    entering = [way for way, (_, _, target) in zip(taken, graph.ways, strict=True) if target == number]
    leaving = [way for way, (source, _, _) in zip(taken, graph.ways, strict=True) if source == number]
    entered = z3.BoolVal(True) if number == 0 else z3.Or(entering)
    optimizer.add(z3.AtMost(*leaving, 1) if leaving else z3.BoolVal(True))
    if not is_end:
        optimizer.add(entered == z3.Or(leaving))


def _began(number: int, clock: str) -> z3.ArithRef:
    return z3.Int(f"began_{number}_{clock}")


def _timing(graph: _Graph, source: int, edge: Edge, target: int, times: list[z3.ArithRef]) -> list[z3.BoolRef]:
    situations = list(graph.numbers)
    clocks = graph.model.pending(situations[source])
    found = [times[target] >= times[source]]
    for clock, within in clocks.items():
        if within.latest_us is not None:
            found.append(times[target] <= _began(source, clock) + within.latest_us)
        if clock == edge.fired:
            found.append(times[target] >= _began(source, clock) + within.earliest_us)
    for clock in graph.model.pending(edge.after):
        goes_on = clock in edge.going_on
        found.append(_began(target, clock) == (_began(source, clock) if goes_on else times[target]))
    return found
