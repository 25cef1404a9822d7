"""`seqcheck budget`: its arguments; what it does is in budgeting.py."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.budget_request import BudgetRequest
from seqcheck.cli.check_command import cores
from seqcheck.cli.command_end import end_with


class Ramps(StrEnum):
    """What ramps keep at another line speed."""

    TIMES = "times"
    RATES = "rates"


BudgetedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Only = Annotated[
    str,
    typer.Option(
        metavar="ID",
        help="The requirement 'accumulator: never below reserve' or 'take-up: never above filled' to look at; "
        "else that with the least margin.",
    ),
]
Faults = Annotated[
    int | None,
    typer.Option(min=0, max=2, metavar="N", help="Failures at most, in place of what the requirement states."),
]
KeptRamps = Annotated[Ramps, typer.Option(help="What ramps keep at another line speed.")]
Compensation = Annotated[
    float | None,
    typer.Option(
        min=0,
        max=100,
        metavar="PERCENT",
        help="Share of the roll's inertia that motor or brake take over; default: as the file's tension requirement, or 0.",
    ),
]
Quick = Annotated[bool, typer.Option("--quick", help="The worst draws alone; no limits, critical path, curves.")]
Jobs = Annotated[
    int | None, typer.Option(min=1, metavar="N", help="Processes; as many as there are cores by default.")
]
SvgPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Draw the waterfalls and the curves.")]
JsonPath = Annotated[
    Path | None,
    typer.Option(metavar="PATH", help="Write the budget as JSON; - for standard output, without tables."),
]


def budget(
    file: BudgetedFile,
    only: Only = "",
    faults: Faults = None,
    ramps: KeptRamps = Ramps.TIMES,
    compensation: Compensation = None,
    quick: Quick = False,
    jobs: Jobs = None,
    svg: SvgPath = None,
    json: JsonPath = None,
) -> None:
    """Show what a splice of FILE draws from the accumulator at worst, or a cut-over brings into it, and what that hangs on.

    Proves the worst draw, shows the run that attains it and where its web goes, and searches by proofs for the highest line
    speed, the smallest accumulator and the longest times that still do.

    Exit code: 2 bad input or usage, 1 the web does not last, 3 undecided or interrupted, 0 it lasts.
    """
    request = BudgetRequest(
        file=file,
        requirement=only,
        faults=faults,
        keeps_rates=ramps is Ramps.RATES,
        compensation_percent=compensation,
        is_quick=quick,
        jobs=jobs or cores(),
        svg=svg,
        json=json,
    )

    def work() -> int:
        from seqcheck.cli.budgeting import budget_file

        return budget_file(request)

    end_with(work)
