"""`seqcheck export`: its arguments; what it does is in exporting.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with
from seqcheck.cli.output_file import STANDARD_OUTPUT

ExportedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Output = Annotated[
    Path, typer.Option("--output", "-o", metavar="PATH", help="Where the text goes; - for standard output.")
]


def export(file: ExportedFile, output: Output = STANDARD_OUTPUT) -> None:
    """Write the charts of FILE as Structured Text of IEC 61131-3.

    One function block a chart, and the program that calls them in order. The text says which file, revision and hash it came from.
    """

    def work() -> int:
        from seqcheck.cli.exporting import export_file

        return export_file(file, output)

    end_with(work)
