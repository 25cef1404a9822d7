"""How long a person waits before anything happens: the help text, and the import."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from bench.settings import REPOSITORY, Settings
from bench.table import Table, ratio

TIMES = 5
COMMANDS = {
    "python -c pass": [sys.executable, "-c", "pass"],
    "python -c 'import seqcheck'": [sys.executable, "-c", "import seqcheck"],
    "seqcheck --help": [str(Path(sys.executable).with_name("seqcheck")), "--help"],
}


def start_up_table(settings: Settings) -> Table:
    """The best of some times each; the interpreter alone is what the others are held against."""
    del settings
    best_s = {name: min(_took_s(command) for _ in range(TIMES)) for name, command in COMMANDS.items()}
    alone_s = best_s["python -c pass"]
    return Table(
        name="start_up",
        title=f"Start-up, best of {TIMES}",
        columns=("command", "milliseconds", "times the bare interpreter"),
        rows=tuple((name, seconds * 1_000, ratio(seconds, alone_s)) for name, seconds in best_s.items()),
    )


def _took_s(command: list[str]) -> float:
    started_s = time.perf_counter()
    subprocess.run(command, cwd=REPOSITORY, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - started_s
