"""`seqcheck import`: its arguments; what it does is in importing.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with
from seqcheck.cli.output_file import STANDARD_OUTPUT

ImportedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Structured Text of IEC 61131-3 (FILE.st).")]
Output = Annotated[
    Path, typer.Option("--output", "-o", metavar="PATH", help="Where the YAML goes; - for standard output.")
]


def import_(file: ImportedFile, output: Output = STANDARD_OUTPUT) -> None:
    """Read the charts in a controller text FILE back as sections of a sequence file.

    Gives flags, alarms and charts, with the line each part came from; devices and requirements are joined by hand. What is not
    understood is named with its line and column, and nothing is written then.

    Exit code: 2 bad input, usage, or something in FILE is not understood, 0 all of it is read.
    """

    def work() -> int:
        from seqcheck.cli.importing import import_file

        return import_file(file, output)

    end_with(work)
