"""Concrete runs: power-up, production, one splice and back to production, beside simpy and plain `transitions`.

simpy runs as many plain timeouts; `transitions` runs the same charts, with the inputs of the same reads, and no machine at all.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Iterator
from typing import Any

from bench.own_process import Values, in_own_process
from bench.settings import FLAGSHIP, REPOSITORY, Settings
from bench.table import Table, ratio

from seqcheck.kernel.event import Cause
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chart_machine import ChartMachines
from seqcheck.simulate.chooser import Scripted, earliest
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.run import Run
from seqcheck.simulate.scenario import scenario_of
from seqcheck.simulate.scenario_run import run_scenario
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.simulate import simulate

UNTIL_US = 300 * MICROSECONDS_PER_SECOND
"""Far beyond the cycle: a run ends by itself once nothing is left to happen."""
TIMES = 5
LONGEST_S = 300
ACTS = (
    (1.0, "fault_reset", "presses"),
    (1.2, "fault_reset", "releases"),
    (10.0, "prep_head", "turns_on"),
    (11.0, "acknowledge", "presses"),
    (11.2, "acknowledge", "releases"),
    (12.0, "prep_head", "turns_off"),
    (13.0, "acknowledge", "presses"),
    (13.2, "acknowledge", "releases"),
    (14.0, "splice_request", "presses"),
    (14.2, "splice_request", "releases"),
)
"""Seconds, device, act: reset, prepare a leader, ask for the splice."""
SIMPY = "simpy, plain timeouts"
TRANSITIONS = "plain transitions, charts alone"
Read = tuple[int, frozenset[str], frozenset[str]]
CYCLE = ("restarting", "ready", "filling", "stopping", "cutting", "starting", "refilling", "ready")
"""Steps of the chart `splice` that a whole cycle enters in this order; without them the figures would be of something else."""


def simulate_table(settings: Settings) -> Table:
    """One row for each way to run the same events."""
    found = in_own_process(
        "simulate.timed", {"times": 1 if settings.is_quick else TIMES}, limit_s=LONGEST_S, memory_mib=settings.memory_mib
    )
    seconds: Values = found.values.get("seconds", {})
    events = found.values.get("events")
    cycle = "" if found.stopped else f", {found.values['simulated_s']:.1f} s of the machine"
    return Table(
        name="simulate",
        title=f"One cycle of {FLAGSHIP} at earliest times, no physics{cycle}",
        columns=(
            "by",
            "events and reads",
            "seconds a run",
            "runs a second",
            "events a second",
            "times simpy's seconds",
            "times transitions' seconds",
        ),
        rows=tuple(
            (
                name,
                events,
                took_s,
                1 / took_s,
                ratio(events, took_s),
                ratio(took_s, seconds[SIMPY]),
                ratio(took_s, seconds[TRANSITIONS]),
            )
            for name, took_s in seconds.items()
        ),
        notes=(found.stopped or found.values["note"],),
    )


def timed(times: int) -> Values:
    """The best of some runs each way."""
    sequence = read_sequence(REPOSITORY / FLAGSHIP)
    network = network_of(sequence)
    run = _run(network, None)
    moments_us = _moments_us(run)
    reads = tuple(_reads(network, run))
    scenario = scenario_of(network, run.schedule, "one cycle", (), run.end_us)
    ways = {
        "seqcheck": lambda: _run(network, None),
        "seqcheck, each read compared with independent charts": lambda: _run(network, sequence),
        "seqcheck, the same run as a listed scenario": lambda: run_scenario(network, scenario),
        SIMPY: lambda: _simpy(moments_us),
        TRANSITIONS: lambda: _transitions(sequence, reads),
    }
    return {
        "events": len(moments_us),
        "simulated_s": run.end_us / MICROSECONDS_PER_SECOND,
        "seconds": {name: min(_took_s(way) for _ in range(times)) for name, way in ways.items()},
        "note": _note(network, run),
    }


def _run(network: Network, cross_check: Sequence | None) -> Run:
    script = tuple(
        Intervention(time_us=round(at_s * MICROSECONDS_PER_SECOND), does=Does.ACT, subject=device, action=act)
        for at_s, device, act in ACTS
    )
    return simulate(network, Scripted(earliest(), script), until_us=UNTIL_US, cross_check=cross_check)


def _moments_us(run: Run) -> tuple[int, ...]:
    """When something happened or a read changed nothing, in order."""
    happened = [happening.time_us for happening in run.schedule.happenings]
    return tuple(sorted([*happened, *run.schedule.idle_read_times_us]))


def _simpy(moments_us: tuple[int, ...]) -> None:
    """The same moments as timeouts of one process that does nothing at them."""
    import simpy

    environment = simpy.Environment()

    def ticking() -> Generator[Any, Any, None]:
        before_us = 0
        for moment_us in moments_us:
            yield environment.timeout(moment_us - before_us)
            before_us = moment_us

    environment.process(ticking())
    environment.run()


def _reads(network: Network, run: Run) -> Iterator[Read]:
    """Each read of a run: when, the inputs that were on, and the outputs."""
    idle_us = list(run.schedule.idle_read_times_us)
    state = run.schedule.start

    def read(time_us: int) -> Read:
        return time_us, frozenset(network.signals_in(state.seen)), frozenset(network.outputs_in(state.written))

    for happening in run.schedule.happenings:
        while idle_us and idle_us[0] < happening.time_us:
            yield read(idle_us.pop(0))
        if happening.edge.event.cause is Cause.READ:
            yield read(happening.time_us)
        state = happening.edge.target
    yield from (read(time_us) for time_us in idle_us)


def _transitions(sequence: Sequence, reads: tuple[Read, ...]) -> None:
    """The charts as machines of `transitions`, given the inputs of each read."""
    charts = ChartMachines(sequence)
    for time_us, inputs, written in reads:
        charts.read(time_us, inputs, written)


def _took_s(way: Callable[[], object]) -> float:
    started_s = time.perf_counter()
    way()
    return time.perf_counter() - started_s


def _note(network: Network, run: Run) -> str:
    """Whether the run was the whole cycle."""
    chart = next(block for block in network.controller.charts if block.name == "splice")
    entered = [
        chart.step_names[step]
        for happening in run.schedule.happenings
        for number, step in happening.edge.entered
        if number == chart.number
    ]
    following = iter(entered)
    missing = [step for step in CYCLE if step not in following]
    if missing or run.missed:
        return f"NOT the whole cycle: {', '.join(missing)} not entered in order; not possible: {', '.join(run.missed) or 'none'}"
    return f"The whole cycle: {' > '.join(CYCLE)}."
