"""A bar on the terminal's standard error while something long goes on; nothing anywhere else."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from seqcheck.check.options import Report
from seqcheck.cli.terminal import is_rich


@contextmanager
def progress(file: str) -> Iterator[Report | None]:
    """What to give to a check as its `report`; None where nobody would see a bar."""
    if not is_rich(sys.stderr):
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    console = Console(file=sys.stderr, markup=False, highlight=False)
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task(_text(file), total=None)

        def report(what: str, done: int, total: int, classes: int) -> None:
            size = f", {classes} classes" if classes else ""
            bar.update(task, description=f"{_text(file)}: {what}{size}", completed=done, total=total)

        yield report


def _text(file: str) -> str:
    """The file's name without what rich would take for a style."""
    return file.replace("[", "(").replace("]", ")")
