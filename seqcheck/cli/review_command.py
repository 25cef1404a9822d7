"""`seqcheck review`: its arguments; what it does is in reviewing.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.check_command import Jobs, MostClasses, MostMemory, MostSeconds, cores
from seqcheck.cli.command_end import end_with
from seqcheck.cli.review_request import ReviewRequest

ReviewedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Out = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Where the page goes; beside FILE, ending in .html, if not given.")
]
JsonPath = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Write the same facts as JSON; - for standard output.")
]
Date = Annotated[str, typer.Option(metavar="TEXT", help="Date of the review, as it shall stand in the page.")]
Faults = Annotated[int, typer.Option(min=0, max=1, metavar="0|1", help="Failures at once that the tables look at.")]


def review(
    file: ReviewedFile,
    out: Out = None,
    json: JsonPath = None,
    date: Date = "",
    faults: Faults = 1,
    jobs: Jobs = None,
    most_classes: MostClasses = None,
    most_seconds: MostSeconds = None,
    most_memory: MostMemory = None,
) -> None:
    """Write a page for the safety reviewer of FILE: verdicts, interlock matrix, fault tables, replay, diagrams.

    One HTML file that needs no network. Exit code as for check.
    """
    request = ReviewRequest(
        file=file,
        out=out,
        json=json,
        date=date,
        jobs=jobs or cores(),
        faults=faults,
        most_classes=most_classes,
        most_seconds=most_seconds,
        most_memory_mib=most_memory,
    )

    def work() -> int:
        from seqcheck.cli.reviewing import review_file

        return review_file(request)

    end_with(work)
