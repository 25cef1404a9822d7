"""Simulates one run, shows its events, and puts them down where asked."""

from __future__ import annotations

from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, UNDECIDED
from seqcheck.cli.interventions import acts_of, faults_of, time_of
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.run_text import run_blocks
from seqcheck.cli.simulate_request import SimulateRequest
from seqcheck.cli.terminal import show
from seqcheck.kernel.network import Network
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest, latest
from seqcheck.simulate.recording import csv_text, event_table
from seqcheck.simulate.run import RunStop
from seqcheck.simulate.sequence_run import SequenceRun, network_of, simulate_sequence
from seqcheck.simulate.value_change_dump import value_change_dump

WENT_WELL = frozenset({RunStop.UNTIL, RunStop.QUIET})


def simulate_file(request: SimulateRequest) -> int:
    """Simulate as requested; the exit code: 3 if the run could not go on to its end."""
    until_us = time_of(request.until, "--until")
    for path in (request.csv, request.vcd):
        if path is not None:
            refuse_unless_writable(path)
    sequence = read_sequence(request.file)
    run = simulate_sequence(sequence, chooser_of(request, network_of(sequence)), until_us=until_us)
    _write(request, run)
    if STANDARD_OUTPUT not in (request.csv, request.vcd):
        show((*run_blocks(sequence, run), *caution()))
    return ALL_HOLD if run.run.stop in WENT_WELL else UNDECIDED


def chooser_of(request: SimulateRequest, network: Network) -> Chooser:
    """Times as asked, with the acts and failures of the command line."""
    script = (*acts_of(request.acts, network), *faults_of(request.faults, network))
    return Scripted(_times(request), script)


def _times(request: SimulateRequest) -> Chooser:
    match request.times:
        case "earliest":
            return earliest()
        case "latest":
            return latest()
        case _:
            return Seeded(seed=request.seed)


def _write(request: SimulateRequest, run: SequenceRun) -> None:
    schedule = run.run.schedule
    if request.csv is not None:
        write_output(request.csv, csv_text(event_table(run.network, schedule)))
    if request.vcd is not None:
        write_output(request.vcd, value_change_dump(run.network, schedule, run.run.end_us))
