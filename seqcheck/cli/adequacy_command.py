"""`seqcheck adequacy`: its arguments; what it does is in adequacy_running.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.adequacy_request import AdequacyRequest
from seqcheck.cli.check_command import cores
from seqcheck.cli.command_end import end_with

ChangedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Only = Annotated[
    list[str] | None,
    typer.Option(metavar="KIND", help="Try changes of this kind only, such as drop-term (repeatable)."),
]
Every = Annotated[int, typer.Option(min=1, metavar="N", help="Try every N-th change only: a sample, always the same.")]
Faults = Annotated[int, typer.Option(min=0, max=1, metavar="0|1", help="Failures in a run at most.")]
Jobs = Annotated[int | None, typer.Option(min=1, metavar="N", help="Processes; one for each core if not given.")]
JsonPath = Annotated[
    Path | None,
    typer.Option(metavar="PATH", help="Write the result as JSON; - for standard output, without tables."),
]
ShowAll = Annotated[bool, typer.Option("--all", help="List every change, also noticed and equivalent ones.")]


def adequacy(
    file: ChangedFile,
    only: Only = None,
    every: Every = 1,
    faults: Faults = 1,
    jobs: Jobs = None,
    json: JsonPath = None,
    shows_all: ShowAll = False,
) -> None:
    """Would the requirements of FILE notice a mistake? Changes it in one place at a time and says which requirement does.

    Changes that nobody notices are listed with their place and a requirement that would. Equivalent ones, which change nothing
    that can happen, are told apart. Also says which steps, transitions, actions and failures the runs exercised.

    Exit code, the first that applies: 2 bad input or usage, 1 a change goes unnoticed, 3 interrupted or undecided, 0 all noticed.
    """
    request = AdequacyRequest(
        file=file,
        kinds=tuple(only or ()),
        every=every,
        faults=faults,
        jobs=jobs or cores(),
        json=json,
        shows_all=shows_all,
    )

    def work() -> int:
        from seqcheck.cli.adequacy_running import adequacy_of_file

        return adequacy_of_file(request)

    end_with(work)
