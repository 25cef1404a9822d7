"""`seqcheck diff`: its arguments. What it does is in diffing.py, which takes longer to load than a help text may."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with

OldFile = Annotated[Path, typer.Argument(metavar="OLD", help="Sequence file before.")]
NewFile = Annotated[Path, typer.Argument(metavar="NEW", help="Sequence file after.")]
MostPairs = Annotated[int, typer.Option(min=1, metavar="N", help="Stop each direction of the search at N pairs of states.")]
MostSeconds = Annotated[float, typer.Option(min=0.0, metavar="S", help="Stop each direction of the search after S seconds.")]
JsonPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Write the difference as JSON; - for standard output.")]


def diff(
    old: OldFile,
    new: NewFile,
    most_pairs: MostPairs = 20_000,
    most_seconds: MostSeconds = 30.0,
    json: JsonPath = None,
) -> None:
    """Tell what NEW does otherwise than OLD, without failures: in behaviour, not in text.

    Exit code, the first that applies: 2 bad input or usage, 1 different behaviour, 3 not decided within the limits, 0 the same.
    """

    def work() -> int:
        from seqcheck.cli.diffing import diff_files

        return diff_files(old, new, most_pairs, most_seconds, json)

    end_with(work)
