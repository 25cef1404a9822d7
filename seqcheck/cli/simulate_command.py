"""`seqcheck simulate`: its arguments; what it does is in simulating.py."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with
from seqcheck.cli.simulate_request import SimulateRequest


class Times(StrEnum):
    """How times are chosen inside their ranges."""

    EARLIEST = "earliest"
    LATEST = "latest"
    RANDOM = "random"


SimulatedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Chosen = Annotated[Times, typer.Option(help="Which time of each range happens.")]
Seed = Annotated[int, typer.Option(metavar="N", help="For random times: the same N gives the same run.")]
Until = Annotated[str, typer.Option(metavar="TIME", help="How long to simulate.")]
Acts = Annotated[
    list[str] | None,
    typer.Option(metavar="TIME:DEVICE.ACT", help="Somebody acts, as in 1s:request.presses (repeatable)."),
]
Failures = Annotated[
    list[str] | None,
    typer.Option(metavar="TIME:DEVICE.FAILURE", help="Something fails, as in 2.5s:knife.jams (repeatable)."),
]
Csv = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Write the events as CSV; - for standard output.")
]
Vcd = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Write a value change dump (IEEE 1364) for wave viewers.")
]
ScenarioFile = Annotated[
    Path | None, typer.Option("--scenario", metavar="PATH", help="Run this scenario, as a check writes them, and no other.")
]
Chart = Annotated[
    Path | None,
    typer.Option(metavar="PATH", help="Draw a timing chart with curves; .svg or .png decides which."),
]
ChartFrom = Annotated[str, typer.Option(metavar="TIME", help="Where the timing chart begins.")]
Sample = Annotated[
    str, typer.Option(metavar="TIME", help="Curves in CSV and VCD have no two samples further apart.")
]
Diameter = Annotated[
    str | None, typer.Option(metavar="LENGTH", help="Diameter of every roll at the start; new if not given.")
]
Runs = Annotated[
    int | None,
    typer.Option(
        min=1, max=1_000_000, metavar="N", help="Run one cycle N times with random times; show how results spread."
    ),
]
CycleSteps = Annotated[
    str | None,
    typer.Option(
        metavar="STEP..STEP",
        help="Cycle for --runs, as in splice.filling..splice.ready; the accumulator's if not given.",
    ),
]
Jobs = Annotated[int, typer.Option(min=1, max=64, metavar="N", help="Processes for --runs.")]
JsonPath = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Write the result of --runs as JSON; - for standard output.")
]


def simulate(
    file: SimulatedFile,
    times: Chosen = Times.EARLIEST,
    seed: Seed = 0,
    until: Until = "60s",
    act: Acts = None,
    fault: Failures = None,
    csv: Csv = None,
    vcd: Vcd = None,
    scenario: ScenarioFile = None,
    chart: Chart = None,
    chart_from: ChartFrom = "0s",
    sample: Sample = "100ms",
    diameter: Diameter = None,
    runs: Runs = None,
    cycle: CycleSteps = None,
    jobs: Jobs = 2,
    json: JsonPath = None,
) -> None:
    """Simulate one run of FILE, or with --runs a cycle of it many times.

    Reads come periodically, as a controller's do; the table shows what happens when. With latest times, what nothing
    forces does not happen. Exit code 1: an act or failure named here was not possible at its time, or with --runs a sample lies
    beyond what is proven; 3: the run could not go on, or physics and sequence disagree.
    """
    request = SimulateRequest(
        file=file,
        times=times.value,
        seed=seed,
        until=until,
        acts=tuple(act or ()),
        faults=tuple(fault or ()),
        csv=csv,
        vcd=vcd,
        chart=chart,
        chart_from=chart_from,
        sample=sample,
        diameter=diameter,
        runs=runs,
        cycle=cycle,
        jobs=jobs,
        json=json,
    )

    def work() -> int:
        if scenario is not None:
            from seqcheck.cli.scenario_running import run_scenario_file

            return run_scenario_file(request, scenario)
        if request.runs is not None:
            from seqcheck.cli.simulating_runs import simulate_runs

            return simulate_runs(request)
        from seqcheck.cli.simulating import simulate_file

        return simulate_file(request)

    end_with(work)
