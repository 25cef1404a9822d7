"""Many runs of one cycle, each with times of its own: what each came to, and the physics of all of them at once."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.cycle import Cycle, Ready, act_script, cycle_of, step_numbers, way_to
from seqcheck.simulate.motions import Motions, motions
from seqcheck.simulate.physical_data import PhysicalData, physical_data
from seqcheck.simulate.quick_run import QuickRun
from seqcheck.simulate.roll_length import left_m
from seqcheck.simulate.sampled import Sampled
from seqcheck.simulate.segment import S_PER_US, Segment
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.state_graph import StateGraph

MOST_EVENTS = 5_000
"""Events in one run of a cycle."""
LATEST_START_US = 100_000
"""The first act comes up to so long after a read: at any phase of the scan."""


@dataclass(frozen=True, slots=True)
class Sampler:
    """What every run of a cycle begins with. `graph` grows from run to run."""

    network: Network
    data: PhysicalData | None
    graph: StateGraph
    cycle: Cycle
    ready: Ready
    begin: tuple[int, int]
    end: tuple[int, int]


@dataclass(slots=True)
class CycleRun:
    """One run of the cycle. `began_us`, `ended_us`: when its steps were entered; None: never."""

    run: QuickRun
    diameter_m: float | None
    began_us: int | None = None
    ended_us: int | None = None

    @property
    def segments(self) -> list[Segment]:
        """The motion of the machine."""
        return [] if self.run.physics is None else self.run.physics.segments


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleResults:
    """What some runs came to, one value for each. `cycle_s` is None where the cycle was not finished.

    `unfinished` counts those; `disagreements` are sentences about times that the physics puts outside the sequence's ranges.
    """

    cycle_s: tuple[float | None, ...]
    motions: Motions | None
    disagreements: tuple[str, ...] = ()
    missed: tuple[str, ...] = field(default=())

    @property
    def unfinished(self) -> int:
        """Runs that did not come to the end of the cycle."""
        return sum(value is None for value in self.cycle_s)


def sampler_of(sequence: Sequence, cycle: str | None = None) -> Sampler:
    """Get a machine to where the cycle begins, once for all runs.

    Raises UsageError if there is no such cycle, or no acts lead into it.
    """
    network = network_of(sequence)
    data = physical_data(sequence, network)
    wanted = cycle_of(sequence, cycle)
    graph = StateGraph(network, data)
    begin, end = step_numbers(network, wanted)
    return Sampler(network, data, graph, wanted, way_to(graph, data, wanted), begin, end)


def run_cycle(sampler: Sampler, seed: int, number: int) -> CycleRun:
    """Run number `number`: from a moment before the first act until the cycle's end, or until nothing comes any more."""
    times = Sampled(sampler.network, seed, number)
    ready = sampler.ready
    physics = None if ready.physics is None else ready.physics.restarted(times.between)
    diameter_m = _diameter_m(sampler.data, times)
    if physics is not None and diameter_m is not None and physics.data.decurlers:
        physics.rolls_are([left_m(roll, diameter_m) for roll in physics.data.rolls])
    script = act_script(ready.last, times.between(1, LATEST_START_US))
    found = CycleRun(
        QuickRun(sampler.graph, ready.node, times.due_us, times.scans(), physics, script), diameter_m
    )
    _finish(sampler, found)
    return found


def _diameter_m(data: PhysicalData | None, times: Sampled) -> float | None:
    """Any diameter from core to full roll."""
    if data is None or not data.rolls:
        return None
    roll = data.rolls[0]
    return roll.core_m + times.part() * (roll.outside_m - roll.core_m)


def _finish(sampler: Sampler, found: CycleRun) -> None:
    run = found.run
    for _ in range(MOST_EVENTS):
        link = run.step()
        if link is None:
            break
        if link.entered:
            if found.began_us is None and sampler.begin in link.entered:
                found.began_us = run.now_us
            elif found.began_us is not None and sampler.end in link.entered:
                found.ended_us = run.now_us
                break
    if run.physics is not None:
        run.physics.advance(run.now_us * S_PER_US)


def run_cycles(sampler: Sampler, seed: int, first: int, count: int) -> CycleResults:
    """Runs number `first` up to `first` + `count`, with their physics worked out together."""
    runs = [run_cycle(sampler, seed, number) for number in range(first, first + count)]
    return CycleResults(
        cycle_s=tuple(_cycle_s(run) for run in runs),
        motions=None if sampler.data is None else motions(sampler.data, runs),
        disagreements=tuple(dict.fromkeys(text for run in runs for text in run.run.disagreements)),
        missed=tuple(dict.fromkeys(text for run in runs for text in run.run.missed)),
    )


def _cycle_s(run: CycleRun) -> float | None:
    if run.began_us is None or run.ended_us is None:
        return None
    return (run.ended_us - run.began_us) * S_PER_US
