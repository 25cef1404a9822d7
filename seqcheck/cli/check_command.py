"""`seqcheck check`: its arguments. What it does is in checking.py, which takes longer to load than a help text may."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.check_request import CheckRequest
from seqcheck.cli.command_end import end_with

Files = Annotated[list[Path], typer.Argument(metavar="FILE...", help="Sequence files.")]
Faults = Annotated[
    int | None,
    typer.Option(
        min=0, max=2, metavar="0|1|2", help="Failures at once, in place of what each requirement states."
    ),
]
Only = Annotated[
    list[str] | None, typer.Option(metavar="ID", help="Check this requirement only (repeatable).")
]
MostClasses = Annotated[
    int | None, typer.Option(min=1, metavar="N", help="Stop an exploration at N classes of states.")
]
MostSeconds = Annotated[
    float | None, typer.Option(min=0.0, metavar="S", help="Stop a file's explorations after S seconds.")
]
MostMemory = Annotated[
    int | None, typer.Option(min=1, metavar="MIB", help="Stop an exploration once its process has used MIB.")
]
Jobs = Annotated[
    int | None, typer.Option(min=1, metavar="N", help="Processes; one for each core if not given.")
]
JsonPath = Annotated[
    Path | None,
    typer.Option(metavar="PATH", help="Write the outcome as JSON; - for standard output, without tables."),
]
Examples = Annotated[
    int, typer.Option(min=0, max=1_000_000, metavar="N", help="Drawn runs of each file beside the proofs; 0: none.")
]
Seed = Annotated[int, typer.Option(min=0, metavar="N", help="What the runs are drawn from: the same N, the same runs.")]
Witnesses = Annotated[
    Path | None,
    typer.Option(metavar="DIR", help="Write each run that is told as a scenario into DIR, for `simulate --scenario`."),
]
Hints = Annotated[
    bool,
    typer.Option("--hints", help="For a violated interlock or reaction, look for one term on one transition that repairs it."),
]
JunitPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Write JUnit XML.")]
SarifPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Write SARIF 2.1.0.")]
Strict = Annotated[bool, typer.Option("--strict", help="Findings and traps count as violations.")]

DRAWN_RUNS = 100
"""Unless told: a few seconds, and enough to put nearly every requirement to the test."""


def cores() -> int:
    """Processor cores that this process may use."""
    allowed = getattr(os, "sched_getaffinity", None)
    return len(allowed(0)) if allowed is not None else os.cpu_count() or 1


def check(
    files: Files,
    faults: Faults = None,
    only: Only = None,
    most_classes: MostClasses = None,
    most_seconds: MostSeconds = None,
    most_memory: MostMemory = None,
    jobs: Jobs = None,
    json: JsonPath = None,
    examples: Examples = DRAWN_RUNS,
    seed: Seed = 0,
    witnesses: Witnesses = None,
    hints: Hints = False,
    junit: JunitPath = None,
    sarif: SarifPath = None,
    strict: Strict = False,
) -> None:
    """Judge every requirement of each FILE.

    Shows a verdict for each requirement, and a run with times for each that does not hold.

    Exit code, the first that applies: 2 bad input or usage, 1 violated or vacuous, 3 undecided, 0 all hold.
    """
    request = CheckRequest(
        files=tuple(files),
        faults=faults,
        only=tuple(only or ()),
        most_classes=most_classes,
        most_seconds=most_seconds,
        most_memory_mib=most_memory,
        jobs=jobs or cores(),
        json=json,
        strict=strict,
        examples=examples,
        seed=seed,
        witnesses=witnesses,
        junit=junit,
        sarif=sarif,
        hints=hints,
    )

    def work() -> int:
        from seqcheck.cli.checking import check_files

        return check_files(request)

    end_with(work)
