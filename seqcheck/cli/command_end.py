"""How a command ends: its exit code, or an exception that only `main` turns into words."""

from __future__ import annotations

import sys
from collections.abc import Callable

import typer

from seqcheck.errors import SeqcheckError


class StoppedByUserError(SeqcheckError):
    """Ctrl-C while there was nothing to show."""


class OutputClosedError(SeqcheckError):
    """Whoever read our output stopped reading."""


def end_with(work: Callable[[], int]) -> None:
    """Do the work and end with its exit code.

    What typer would answer with exit code 1, which means a violated requirement here, is raised as an exception of ours.
    """
    try:
        code = work()
        sys.stdout.flush()
    except KeyboardInterrupt:
        raise StoppedByUserError("interrupted") from None
    except BrokenPipeError:
        raise OutputClosedError("nobody reads the output") from None
    raise typer.Exit(code)
