"""Monte Carlo over tolerances: thousands of runs of one cycle, held against the proven worst of the same cycle.

Every time is drawn evenly from its range, every run from numbers of its own, so that the same seed gives the same result whatever
the number of processes. A sample beyond what is proven is a defect of the model or of this program, and is said loudly.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_all_start_methods, get_context

from seqcheck.check.distribution import Distribution, distribution
from seqcheck.check.proven_worst import ProvenWorst, proven_worst
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.cycle_runs import CycleResults, CycleRun, Sampler, run_cycle, run_cycles, sampler_of

CHUNK = 250
"""Runs that one process does before it reports."""

Report = Callable[[int, int], None]
"""Runs done, runs in all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonteCarlo:
    """What the runs came to. `acts`: how the machine is brought to where the cycle begins; `steps`: those of its chart on the way.

    `unfinished`: runs that did not come to the cycle's end. `disagreements`: where the physics left the ranges of the sequence.
    `imbalance`: the greatest relative difference between web in, and web out and change of content.
    """

    sequence: str
    file: str
    cycle: str
    acts: tuple[str, ...]
    steps: tuple[str, ...]
    runs: int
    seed: int
    unfinished: int
    distributions: tuple[Distribution, ...]
    disagreements: tuple[str, ...] = ()
    imbalance: float | None = None
    missing: tuple[str, ...] = ()

    @property
    def beyond(self) -> tuple[Distribution, ...]:
        """Those with a sample beyond the proven worst."""
        return tuple(part for part in self.distributions if part.is_beyond)


def monte_carlo(
    sequence: Sequence,
    *,
    runs: int,
    seed: int = 0,
    cycle: str | None = None,
    jobs: int = 1,
    report: Report | None = None,
) -> MonteCarlo:
    """`runs` runs of the cycle (default: from the first step that fills an accumulator back to the step before).

    Raises UsageError if there is no such cycle, or no acts lead into it.
    """
    sampler = sampler_of(sequence, cycle)
    first = run_cycle(sampler, seed, 0)
    steps = _steps_of(sampler.network, sampler, first)
    actors = tuple(dict.fromkeys(device for device, _ in (*sampler.ready.acts, sampler.ready.last)))
    worst = proven_worst(sequence, sampler.data, sampler.cycle, actors, steps)
    parts = list(_parts(sampler, runs, seed, jobs, report))
    return MonteCarlo(
        sequence=sequence.name,
        file=sequence.file,
        cycle=sampler.cycle.text,
        acts=tuple(f"{device} {act}" for device, act in (*sampler.ready.acts, sampler.ready.last)),
        steps=steps,
        runs=runs,
        seed=seed,
        unfinished=sum(part.unfinished for part in parts),
        distributions=_distributions(parts, worst, _stored_text(sampler)),
        disagreements=tuple(dict.fromkeys(text for part in parts for text in part.disagreements)),
        imbalance=max((abs(value) for part in parts if part.motions for value in part.motions.imbalance), default=None),
        missing=() if sampler.data is None else sampler.data.missing,
    )


def _steps_of(network: Network, sampler: Sampler, run: CycleRun) -> tuple[str, ...]:
    """The steps of the cycle's chart that a run goes through, the first and the last among them."""
    chart = network.controller.charts[sampler.begin[0]]
    entered = [step for _, link in run.run.links for number, step in link.entered if number == chart.number]
    return tuple(dict.fromkeys((sampler.cycle.start, *(chart.step_names[step] for step in entered), sampler.cycle.end)))


def _stored_text(sampler: Sampler) -> str:
    store = None if sampler.data is None else sampler.data.accumulator
    return "least room in the accumulator" if store is not None and store.takes_up else "least accumulator content"


def _distributions(parts: list[CycleResults], worst: ProvenWorst, stored: str) -> tuple[Distribution, ...]:
    motions = [part.motions for part in parts if part.motions is not None]
    cycles = [value for part in parts for value in part.cycle_s if value is not None]
    contents = [value for part in motions for value in part.least_content_m if value is not None]
    peaks = [value for part in motions for value in part.peak_tension_n if value > 0]
    found = (
        distribution("cycle time", "s", cycles, worst.cycle_s),
        distribution(stored, "m", contents, worst.least_content_m, is_least=True),
        distribution("peak web tension", "N", peaks, worst.peak_tension_n),
    )
    return tuple(part for part in found if part is not None)


# -- processes -----------------------------------------------------------------------------------------------


def _parts(
    sampler: Sampler, runs: int, seed: int, jobs: int, report: Report | None
) -> Iterator[CycleResults]:
    chunks = [(seed, first, min(CHUNK, runs - first)) for first in range(0, runs, CHUNK)]
    done = 0
    for part in chunk_results(sampler, chunks, jobs):
        done += len(part.cycle_s)
        if report is not None:
            report(done, runs)
        yield part


def chunk_results(
    sampler: Sampler, chunks: list[tuple[int, int, int]], jobs: int
) -> Iterator[CycleResults]:
    """The results of chunks (seed, first run, how many), in their order."""
    # Processes begin as copies of this one, with everything worked out so far; elsewhere one process does all.
    if jobs <= 1 or len(chunks) == 1 or "fork" not in get_all_start_methods():
        yield from (run_cycles(sampler, *chunk) for chunk in chunks)
        return
    pool = ProcessPoolExecutor(jobs, mp_context=get_context("fork"), initializer=_begin, initargs=(sampler,))
    with pool:
        yield from pool.map(_work, chunks)


_sampler: list[Sampler] = []
"""In a process of the pool: what its runs begin with."""


def _begin(sampler: Sampler) -> None:
    # Nothing that the runs leave behind points back at itself; looking for that would take a third of the time.
    gc.disable()
    _sampler.append(sampler)


def _work(chunk: tuple[int, int, int]) -> CycleResults:
    return run_cycles(_sampler[0], *chunk)
