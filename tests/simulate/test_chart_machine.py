"""The kernel's controller against independent charts, read by read."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from simulate.trial_files import concrete, trial

from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.chart_machine import ChartMachines
from seqcheck.simulate.chooser import Seeded
from seqcheck.simulate.run import RunStop
from seqcheck.simulate.simulate import simulate

HISTORIES = st.lists(st.tuples(st.integers(1, 40), st.integers(0, 2**16 - 1)), max_size=60)
"""(Milliseconds to the next read, inputs that it sees), with random bits for more inputs than there are."""

FILES = {name: trial(name) for name in ("splicer", "qualifiers")}
NETWORKS = {name: concrete(sequence) for name, sequence in FILES.items()}


class KernelController:
    """The kernel's controller with a clock beside it that expires its timers, first in every instant."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.memory = network.controller.initial_memory
        self.written = 0
        self.since_us = dict.fromkeys(self.running(), 0)

    def running(self) -> list[int]:
        return [
            part.cell for part in self.network.controller.timers if self.memory[part.cell] == TIMER_RUNNING
        ]

    def read(self, now_us: int, seen: int) -> tuple[dict[str, str], set[str]]:
        memory = list(self.memory)
        for timer in self.network.controller.timers:
            if timer.cell in self.since_us and self.since_us[timer.cell] + timer.length_us <= now_us:
                memory[timer.cell] = TIMER_EXPIRED
        self.memory = tuple(memory)
        before = set(self.running())
        result = self.network.controller.read(self.memory, seen, self.written)
        self.memory, self.written = result.memory, result.computed
        restarted = {part.cell for part in self.network.controller.timers if part.key in result.restarted}
        kept = before - restarted
        self.since_us = {cell: self.since_us[cell] if cell in kept else now_us for cell in self.running()}
        charts = self.network.controller.charts
        steps = {chart.name: chart.step_names[self.memory[chart.number]] for chart in charts}
        return steps, set(self.network.outputs_in(result.computed))


@pytest.mark.parametrize("name", FILES)
@given(history=HISTORIES)
@settings(max_examples=150, deadline=None)
def test_kernel_and_independent_charts_take_the_same_steps(name: str, history: list[tuple[int, int]]) -> None:
    """Any inputs at any read times lead both through the same steps and outputs."""
    network = NETWORKS[name]
    kernel, charts = KernelController(network), ChartMachines(FILES[name])
    now_us = 0
    for gap_ms, bits in history:
        now_us += gap_ms * 1_000
        seen = bits & ((1 << len(network.signal_names)) - 1)
        written = frozenset(network.outputs_in(kernel.written))
        charts.read(now_us, frozenset(network.signals_in(seen)), written)
        assert (charts.steps, set(charts.outputs)) == kernel.read(now_us, seen)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("seed", range(3))
def test_whole_runs_agree_with_independent_charts(name: str, seed: int) -> None:
    """The simulator's own comparison finds nothing, though steps are taken and outputs change."""
    chooser = Seeded(seed=seed, act_gap_us=(0, 60_000), failure_probability=0.02)
    run = simulate(NETWORKS[name], chooser, until_us=3_000_000, cross_check=FILES[name])
    assert (run.stop, run.note) == (RunStop.UNTIL, "")
    assert any(happening.edge.entered for happening in run.schedule.happenings)


def test_a_disagreement_stops_the_run() -> None:
    """Charts of another file are noticed at the first read that differs."""
    chooser = Seeded(seed=1, act_gap_us=(0, 60_000))
    run = simulate(NETWORKS["qualifiers"], chooser, until_us=3_000_000, cross_check=_slower())
    assert run.stop is RunStop.DISAGREEMENT
    assert "independent" in run.note


def _slower() -> Sequence:
    """The same file, with a D action 1 ms longer."""
    sequence = FILES["qualifiers"]
    first, second = sequence.charts
    off = second.steps[0]
    slower = replace(off, actions=(replace(off.actions[0], time_us=16_000),))
    return replace(sequence, charts=(first, replace(second, steps=(slower, *second.steps[1:]))))
