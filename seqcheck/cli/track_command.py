"""`seqcheck track`: its arguments; what it does is in tracking.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.check_command import cores
from seqcheck.cli.command_end import end_with
from seqcheck.cli.track_request import TrackRequest

TrackedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Only = Annotated[
    list[str] | None, typer.Option(metavar="ID", help="This requirement 'reject from' only (repeatable).")
]
Faults = Annotated[
    int | None,
    typer.Option(min=0, max=2, metavar="0|1|2", help="Failures at once, in place of what the requirement states."),
]
Jobs = Annotated[
    int | None, typer.Option(min=1, metavar="N", help="Processes; one for each core if not given.")
]
JsonPath = Annotated[
    Path | None,
    typer.Option(metavar="PATH", help="Write the counts as JSON; - for standard output, without tables."),
]


def track(
    file: TrackedFile, only: Only = None, faults: Faults = None, jobs: Jobs = None, json: JsonPath = None
) -> None:
    """Show where the splice of FILE is by encoder counts, and when the reject gate must act.

    Works out the earliest and the latest count at each place from the times that are proven over all runs.

    Exit code: 2 bad input or usage, 1 violated or vacuous, 3 not decided, 0 the gate's counts hold.
    """
    request = TrackRequest(file=file, only=tuple(only or ()), faults=faults, jobs=jobs or cores(), json=json)

    def work() -> int:
        from seqcheck.cli.tracking import track_file

        return track_file(request)

    end_with(work)
