"""Simulates one run, shows its events, and puts them down where asked."""

from __future__ import annotations

from pathlib import Path

from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.interventions import script_of, time_of
from seqcheck.cli.output_file import (
    STANDARD_OUTPUT,
    refuse_unless_writable,
    write_output,
    write_output_bytes,
)
from seqcheck.cli.run_text import run_blocks
from seqcheck.cli.simulate_request import SimulateRequest
from seqcheck.cli.terminal import show
from seqcheck.errors import UsageError
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.units import Dimension, parse_quantity
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest, latest
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.recording import csv_text, event_table
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.sequence_run import SequenceRun, network_of, simulate_sequence
from seqcheck.simulate.value_change_dump import value_change_dump

WENT_WELL = frozenset({RunStop.UNTIL, RunStop.QUIET})
CHART_FORMS = ("svg", "png")


def simulate_file(request: SimulateRequest) -> int:
    """Simulate as requested; the exit code.

    3: the run could not go on to its end, or its physics left the ranges of the sequence. 1: a named act or failure was not
    possible.
    """
    until_us, sample_us = time_of(request.until, "--until"), time_of(request.sample, "--sample")
    refuse_outputs(request, sample_us)
    sequence = read_sequence(request.file)
    network = network_of(sequence)
    run = simulate_sequence(
        sequence,
        chooser_of(request, network),
        until_us=until_us,
        diameters_m=diameters_m(request, sequence, network),
    )
    write_outputs(request, sequence, run, sample_us)
    if STANDARD_OUTPUT not in (request.csv, request.vcd):
        show((*run_blocks(sequence, run), *caution()))
    return exit_code_of(run.run)


def exit_code_of(run: Run) -> int:
    """What a run means for whoever asked for it."""
    if run.stop not in WENT_WELL or run.disagreements:
        return UNDECIDED
    return BROKEN if run.missed else ALL_HOLD


def refuse_outputs(request: SimulateRequest, sample_us: int) -> None:
    """Find out before the run what cannot be done. Raises UsageError."""
    if request.cycle is not None or request.json is not None:
        raise UsageError("--cycle and --json go with --runs")
    if sample_us == 0:
        raise UsageError("--sample: expected a time longer than zero")
    if request.chart is not None:
        _chart_form(request.chart)
    for path in (request.csv, request.vcd, request.chart):
        if path is not None:
            refuse_unless_writable(path)


def _chart_form(path: Path) -> str:
    form = path.suffix.lower().removeprefix(".")
    if form not in CHART_FORMS:
        raise UsageError(f"--chart: expected a name that ends in .svg or .png, found {str(path)!r}")
    return form


def diameters_m(request: SimulateRequest, sequence: Sequence, network: Network) -> tuple[float, ...]:
    """The diameter asked for, for every roll. Raises UsageError if the file has no roll of that diameter."""
    if request.diameter is None:
        return ()
    data = physical_data(sequence, network)
    if data is None or not data.rolls:
        raise UsageError("--diameter: this file does not give a roll and the caliper of its web")
    try:
        diameter_m = parse_quantity(request.diameter, Dimension.LENGTH) / 1000
    except ValueError as error:
        raise UsageError(f"--diameter: {error}") from None
    for roll in data.rolls:
        if not roll.core_m <= diameter_m <= roll.outside_m:
            least, most = f"{roll.core_m * 1000:g} mm", f"{roll.outside_m * 1000:g} mm"
            raise UsageError(f"--diameter: expected {least} (core) to {most} (new), found {request.diameter}")
    return tuple(diameter_m for _ in data.rolls)


def chooser_of(request: SimulateRequest, network: Network) -> Chooser:
    """Times as asked, with the acts and failures of the command line."""
    return Scripted(_times(request), script_of(request.acts, request.faults, network))


def _times(request: SimulateRequest) -> Chooser:
    match request.times:
        case "earliest":
            return earliest()
        case "latest":
            return latest()
        case _:
            return Seeded(seed=request.seed)


def write_outputs(request: SimulateRequest, sequence: Sequence, run: SequenceRun, sample_us: int) -> None:
    """Put the run down as CSV, VCD and timing chart where asked."""
    schedule, motion = run.run.schedule, run.run.motion
    if request.csv is not None:
        write_output(request.csv, csv_text(event_table(run.network, schedule), motion, sample_us))
    if request.vcd is not None:
        dump = value_change_dump(
            run.network, schedule, run.run.end_us, record=motion, step_us=sample_us
        )
        write_output(request.vcd, dump)
    if request.chart is not None:
        from seqcheck.diagrams.timing_chart import drawn_chart, timing_chart

        chart = timing_chart(sequence, run, from_us=time_of(request.chart_from, "--chart-from"))
        write_output_bytes(request.chart, drawn_chart(chart, _chart_form(request.chart)))
