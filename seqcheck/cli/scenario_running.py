"""Runs a scenario file on its sequence, shows the run and which requirements it breaks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from seqcheck.check.watched_runs import WatchedRuns, refutes, watched_scenario
from seqcheck.cli.block import Block, Cell, Heading, Lines, Tone, lines
from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.interventions import time_of
from seqcheck.cli.output_file import STANDARD_OUTPUT
from seqcheck.cli.run_text import run_blocks
from seqcheck.cli.simulate_request import SimulateRequest
from seqcheck.cli.simulating import diameters_m, refuse_outputs, write_outputs
from seqcheck.cli.terminal import show
from seqcheck.quantities.time import format_time
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.led_motion import LedMotion, led_motion
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.scenario import Times
from seqcheck.simulate.scenario_file import read_scenario, wanted_requirements
from seqcheck.simulate.scenario_run import run_scenario
from seqcheck.simulate.sequence_run import SequenceRun

CANNOT_GO_ON = frozenset(
    {RunStop.REFUSED, RunStop.INSTANT_LOOP, RunStop.TIME_LOCK, RunStop.DISAGREEMENT, RunStop.EVENTS}
)


def run_scenario_file(request: SimulateRequest, scenario_file: Path) -> int:
    """Run the scenario; the exit code: 1 if it breaks a requirement, 3 if it cannot go on as listed.

    Raises SequenceFileError for what is wrong with either file.
    """
    sample_us = time_of(request.sample, "--sample")
    refuse_outputs(request, sample_us)
    sequence = read_sequence(request.file)
    watching = watched_scenario(sequence, wanted_requirements(scenario_file, sequence))
    scenario = read_scenario(scenario_file, sequence, watching.network)
    # A witness may list a read and the end of a time in one instant, in an order that independent charts cannot know of.
    compared = None if scenario.times is Times.LISTED else sequence
    run = run_scenario(watching.network, scenario, compared)
    broken = tuple(_broken(watching, run))
    sizes = diameters_m(request, sequence, watching.network)
    led = led_motion(sequence, watching.network, run.schedule, run.end_us, sizes)
    simulated = SequenceRun(watching.network, run if led is None else replace(run, motion=led.record))
    write_outputs(request, sequence, simulated, sample_us)
    if STANDARD_OUTPUT not in (request.csv, request.vcd):
        told = run_blocks(sequence, simulated)
        show((*told, *_broken_blocks(watching, broken), *_led_blocks(led), *caution()))
    if run.stop in CANNOT_GO_ON:
        return UNDECIDED
    return BROKEN if broken else ALL_HOLD


def _led_blocks(led: LedMotion | None) -> Iterator[Block]:
    """Where the run has a level that the machine, led along it, does not have: the model allows more than the machine does."""
    if led is not None and led.notes:
        yield Heading("In the curves, which are led along the run's times")
        yield lines(*led.notes)


def _broken(watching: WatchedRuns, run: Run) -> Iterator[tuple[str, str]]:
    """Requirement and reason of everything noticed that breaks one; of each requirement the first."""
    seen: set[str] = set()
    for item in run.noticed:
        owner = watching.owners[item.monitor]
        why = refutes(item, watching.monitors[item.monitor])
        if why is not None and owner not in seen:
            seen.add(owner)
            yield owner, f"{why}, at {format_time(item.time_us)}"


def _broken_blocks(watching: WatchedRuns, broken: tuple[tuple[str, str], ...]) -> Iterator[Block]:
    if not watching.owners:
        yield lines("No requirement watches this run.")
    elif not broken:
        yield lines(f"This run breaks none of {', '.join(dict.fromkeys(watching.owners))}.")
    else:
        yield Heading("Broken in this run, whatever failures and acts each requirement allows", Tone.BAD)
        yield Lines(tuple(Cell(f"{owner}: {why}", Tone.BAD) for owner, why in broken))
