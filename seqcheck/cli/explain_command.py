"""`seqcheck explain`: its arguments; what it does is in explaining.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with

ExplainedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Identity = Annotated[str, typer.Argument(metavar="REQUIREMENT", help="Id of the requirement.")]


def explain(file: ExplainedFile, requirement: Identity) -> None:
    """Explain the verdict on one REQUIREMENT of FILE.

    Says in sentences what was asked, what was found, why, and what was assumed.

    Exit code as that of check: 1 violated or vacuous, 3 undecided, 0 holds.
    """

    def work() -> int:
        from seqcheck.cli.explaining import explain_requirement

        return explain_requirement(file, requirement)

    end_with(work)
