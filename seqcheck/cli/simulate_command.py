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


def simulate(
    file: SimulatedFile,
    times: Chosen = Times.EARLIEST,
    seed: Seed = 0,
    until: Until = "60s",
    act: Acts = None,
    fault: Failures = None,
    csv: Csv = None,
    vcd: Vcd = None,
) -> None:
    """Simulate one run of FILE.

    Reads come periodically, as a controller's do; the table shows what happens when. With latest times, what nothing
    forces does not happen.
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
    )

    def work() -> int:
        from seqcheck.cli.simulating import simulate_file

        return simulate_file(request)

    end_with(work)
