"""Monte Carlo splices with full physics, beside scipy's solve_ivp for their physics and simpy for their events."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Generator
from itertools import pairwise
from typing import Any

from bench.own_process import Values, in_own_process
from bench.settings import FLAGSHIP, REPOSITORY, Settings
from bench.table import Table, ratio

from seqcheck.check.monte_carlo import chunk_results
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.cycle_runs import CycleResults, CycleRun, Sampler, run_cycle, sampler_of
from seqcheck.simulate.segment import Segment

RUNS, QUICK_RUNS = 10_000, 1_000
SOLVED, SIMPY = 20, 500
"""Splices that the outside engines do; their seconds are scaled up to all runs."""
CHUNK = 250
LONGEST_S = 600


def monte_carlo_table(settings: Settings) -> Table:
    """One row for each way to do the same splices."""
    runs = QUICK_RUNS if settings.is_quick else RUNS
    arguments = {"runs": runs, "jobs": settings.jobs}
    found = in_own_process("monte_carlo.timed", arguments, limit_s=LONGEST_S, memory_mib=settings.memory_mib)
    ways: dict[str, tuple[int, float, float]] = found.values.get("ways", {})
    ours = next((cpu_s for done, _, cpu_s in ways.values() if done == runs), None)
    return Table(
        name="monte_carlo",
        title=f"{runs} splices of {FLAGSHIP}, every time drawn, full physics, {settings.jobs} processes",
        columns=("by", "splices done", "wall seconds", "CPU seconds", f"CPU seconds for {runs}", "times ours"),
        rows=tuple(
            (name, done, wall_s, cpu_s, cpu_s * runs / done, ratio(cpu_s * runs / done, ours))
            for name, (done, wall_s, cpu_s) in ways.items()
        ),
        notes=(found.stopped or found.values["note"],),
    )


def timed(runs: int, jobs: int) -> Values:
    """Seconds by the clock and of the cores for each way; the outside ones do fewer splices, in one process."""
    sampler = sampler_of(read_sequence(REPOSITORY / FLAGSHIP))
    sample = [run_cycle(sampler, 0, number) for number in range(SIMPY)]
    chunks = [(0, first, min(CHUNK, runs - first)) for first in range(0, runs, CHUNK)]
    parts: list[CycleResults] = []
    ours = _took_s(lambda: parts.extend(chunk_results(sampler, chunks, jobs)))
    solved = _took_s(lambda: [_solve(sampler, run) for run in sample[:SOLVED]])
    simpy = _took_s(lambda: [_simpy([time_us for time_us, _ in run.run.links]) for run in sample])
    imbalance = max(abs(value) for part in parts if part.motions for value in part.motions.imbalance)
    return {
        "ways": {
            "seqcheck: events and physics": (runs, *ours),
            "scipy solve_ivp: physics alone, events given": (SOLVED, *solved),
            "simpy: events alone, as plain timeouts": (SIMPY, *simpy),
        },
        "note": f"Web in = web out + change of content to {imbalance:.1e} relative; "
        f"{sum(part.unfinished for part in parts)} unfinished, {sum(len(part.disagreements) for part in parts)} disagreements.",
    }


def _solve(sampler: Sampler, run: CycleRun) -> None:
    """Content and both tensions of one splice, segment by segment."""
    from scipy.integrate import solve_ivp

    data = sampler.data
    assert data is not None and data.accumulator is not None and data.web is not None
    unwind, line, span_m, run_n = data.accumulator.unwind, data.accumulator.line, data.web.span_m, data.web.run_n

    def rates(time_s: float, values: Any, segment: Segment) -> list[float]:
        into, out = (
            segment.speeds_m_per_s[drive] + time_s * segment.accelerations_m_per_s2[drive] for drive in (unwind, line)
        )
        return [into - out, into * (run_n - values[1]) / span_m, out * (run_n - values[2]) / span_m]

    values = [run.segments[0].content_m, run_n + 1, run_n + 1]
    for segment, after in pairwise(run.segments):
        length_s = after.start_s - segment.start_s
        solved = solve_ivp(rates, (0.0, length_s), values, args=(segment,), rtol=1e-6, atol=1e-6)
        values = solved.y[:, -1].tolist()


def _simpy(moments_us: list[int]) -> None:
    """The events of one splice (idle reads left out) as timeouts of one process that does nothing at them."""
    import simpy

    environment = simpy.Environment()

    def ticking() -> Generator[Any, Any, None]:
        for before_us, moment_us in pairwise([0, *moments_us]):
            yield environment.timeout(moment_us - before_us)

    environment.process(ticking())
    environment.run()


def _took_s(way: Callable[[], object]) -> tuple[float, float]:
    """Seconds by the clock, and of all cores, children included."""
    started_s, cpu_s = time.perf_counter(), _cpu_s()
    way()
    return time.perf_counter() - started_s, _cpu_s() - cpu_s


def _cpu_s() -> float:
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system
