"""How long a chart can stay in a step that a watchdog bounds, without failures: the longest stay of each, and a run that has it."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Witness
from seqcheck.check.witness import witness_of
from seqcheck.explore.core import CoreStore
from seqcheck.explore.layers import LayeredSearch
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.record import Where
from seqcheck.explore.search import Search
from seqcheck.explore.witness import Constraint
from seqcheck.kernel.build import build_core, options_for, watching
from seqcheck.kernel.network import NetworkOptions
from seqcheck.kernel.observer import Enters, StopwatchMonitor
from seqcheck.language.sequence import Chart, Hypothesis, Sequence, Step

BEYOND_US = 1_000_000
"""Microseconds after its watchdog for which a stay is still measured; a watchdog that leads nowhere bounds nothing."""

MOST_CLASSES = 20_000
"""Classes for one step; a stay that needs more is not measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """The shortest and the longest stay in a step, microseconds. `witness`: a run with the longest, where it was asked for."""

    step: str
    shortest_us: int
    longest_us: int
    witness: Witness | None = None


@dataclass(slots=True)
class StayTimes:
    """The stays of one sequence. Mutable: explorations share what they have worked out."""

    sequence: Sequence
    limits: Limits
    _core: CoreStore | None = None

    def stays(self) -> dict[str, Stay]:
        """Every stay that a watchdog bounds and that could be measured within the limits."""
        found = {}
        for chart in self.sequence.charts:
            for step in chart.steps:
                stay = self.stay(chart, step, told=False) if step.watchdog is not None else None
                if stay is not None:
                    found[stay.step] = stay
        return found

    def stay(self, chart: Chart, step: Step, *, told: bool) -> Stay | None:
        """The stay in one step; None: it is never left in time, or the limits were reached. `told`: with a run."""
        search = self._search(_monitor(chart, step))
        exploration, _ = search.base()
        summary = exploration.summaries[0]
        if exploration.stop is not StopReason.FINISHED or summary.worst is None or summary.best is None or summary.over:
            return None
        shortest_us, longest_us = summary.best.value_us, summary.worst.value_us
        assert shortest_us is not None and longest_us is not None
        return Stay(
            step=f"{chart.name}.{step.name}",
            shortest_us=shortest_us,
            longest_us=longest_us,
            witness=self._witness(search, longest_us) if told else None,
        )

    def _search(self, monitor: StopwatchMonitor) -> LayeredSearch:
        core = build_core(self.sequence, options_for((monitor,), NetworkOptions()))
        if self._core is None:
            self._core = CoreStore(core)
        return LayeredSearch(
            network=watching(self._core.network, (monitor,)),
            monitors=(monitor,),
            hypothesis=Hypothesis(),
            limits=self.limits,
            core=self._core,
        )

    def _witness(self, search: LayeredSearch, longest_us: int) -> Witness:
        path = search.path((), _worst)
        starts = [number for number, edge in enumerate(path.edges, start=1) if any(mark.kind == "started" for mark in edge.marks)]
        longest = (Constraint(len(path.edges), starts[-1] if starts else 0, -longest_us),)
        options = NetworkOptions(at_read=False, choose=False)
        replayed = watching(build_core(self.sequence, options_for(search.monitors, options)), search.monitors)
        return witness_of(search.network, replayed, path, (longest, ()))[0]


def _worst(search: Search) -> Where:
    worst = search.records[0].worst
    assert worst is not None, "it was found before and must be found again"
    return worst


def _monitor(chart: Chart, step: Step) -> StopwatchMonitor:
    """From entering the step to entering another one; entering it again starts no new measurement."""
    limit_us = step.watchdog.limit_us if step.watchdog is not None else 0
    return StopwatchMonitor(
        requirement=f"{chart.name}.{step.name}",
        start=(Enters(chart.name, step.name),),
        end=tuple(Enters(chart.name, other.name) for other in chart.steps if other.name != step.name),
        at_most_us=None,
        length_us=limit_us + BEYOND_US,
    )
