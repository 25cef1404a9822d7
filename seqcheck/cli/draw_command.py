"""`seqcheck draw`: its arguments; what it does is in drawing.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with

DrawnFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Into = Annotated[Path, typer.Option(metavar="DIR", help="Folder for the drawings; made if missing.")]


def draw(file: DrawnFile, into: Into = Path("diagrams")) -> None:
    """Draw FILE as SVG and DOT.

    Draws each chart as a state diagram, and the plant with what drives and tells what.
    """

    def work() -> int:
        from seqcheck.cli.drawing import draw_file

        return draw_file(file, into)

    end_with(work)
