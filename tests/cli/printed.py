"""Every text in expected/, by file name, with what prints it."""

import contextlib
import io
import json
import os
from collections.abc import Callable
from pathlib import Path

from cli.made_outcome import OUTCOME

from seqcheck.cli.caution import caution
from seqcheck.cli.main import run
from seqcheck.cli.outcome_json import outcome_json
from seqcheck.cli.outcome_text import outcome_blocks
from seqcheck.cli.plain_text import plain_text

HERE = Path(__file__).parent
EXPECTED = HERE / "expected"

SIMULATE = ("simulate", "clamp.yaml", "--act", "1s:request.presses", "--act", "1.05s:request.releases")


def printed_by(*arguments: str) -> str:
    """Standard output of the program, run in the folder of the tests."""
    before, output = Path.cwd(), io.StringIO()
    os.chdir(HERE)
    try:
        with contextlib.redirect_stdout(output), contextlib.redirect_stderr(io.StringIO()):
            run(arguments)
    finally:
        os.chdir(before)
    return output.getvalue()


PRINTED: dict[str, Callable[[], str]] = {
    "made_outcome.txt": lambda: plain_text((*outcome_blocks(OUTCOME), *caution())),
    "made_outcome.json": lambda: json.dumps(outcome_json(OUTCOME), indent=2) + "\n",
    "check_clamp.txt": lambda: printed_by("check", "clamp.yaml", "--jobs", "1"),
    "check_clamp.json": lambda: printed_by("check", "clamp.yaml", "--jobs", "1", "--json", "-"),
    "simulate_clamp.txt": lambda: printed_by(*SIMULATE, "--fault", "1.1s:clamp.jams", "--until", "3s"),
    "simulate_clamp.csv": lambda: printed_by(*SIMULATE, "--until", "3s", "--csv", "-"),
    "help.txt": lambda: printed_by("--help"),
}
