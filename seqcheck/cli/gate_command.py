"""`seqcheck gate`: its arguments. What it does is in gating.py, which takes longer to load than a help text may."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.check_command import Jobs, JunitPath, MostClasses, MostSeconds, SarifPath, cores
from seqcheck.cli.command_end import end_with
from seqcheck.cli.gate_request import GateRequest
from seqcheck.errors import UsageError

GateFiles = Annotated[
    list[str] | None,
    typer.Argument(metavar="[FILE|FOLDER|PATTERN]...", help="What is judged; else the policy's files, else sequences/."),
]
BaseRevision = Annotated[
    str | None, typer.Option(metavar="REVISION", help="Git revision to compare with; else the merge base with the main branch.")
]
MainBranch = Annotated[str | None, typer.Option(metavar="BRANCH", help="The main branch; else origin's, main or master.")]
BaseResult = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Compare with what an earlier --json wrote, instead of a revision.")
]
PolicyPath = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Policy: a pyproject.toml or a TOML file of its own; else ./pyproject.toml.")
]
Day = Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="The day for waivers; else today.")]
CacheFolder = Annotated[
    Path | None, typer.Option(metavar="DIR", help="Where results are remembered; else SEQCHECK_CACHE, else the user's cache.")
]
NoCache = Annotated[bool, typer.Option("--no-cache", help="Remember nothing, check everything.")]
MarkdownPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Write the summary for a pull request.")]
GateJson = Annotated[Path | None, typer.Option(metavar="PATH", help="Write the verdict as JSON; - for standard output.")]
Annotations = Annotated[bool, typer.Option("--annotations", help="Print workflow commands for notes beside the lines.")]
Schema = Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of --json, and end.")]


def gate(
    files: GateFiles = None,
    base: BaseRevision = None,
    main: MainBranch = None,
    base_result: BaseResult = None,
    policy: PolicyPath = None,
    today: Day = None,
    jobs: Jobs = None,
    cache: CacheFolder = None,
    no_cache: NoCache = False,
    most_classes: MostClasses = None,
    most_seconds: MostSeconds = None,
    junit: JunitPath = None,
    sarif: SarifPath = None,
    markdown: MarkdownPath = None,
    json: GateJson = None,
    annotations: Annotations = False,
    schema: Schema = False,
) -> None:
    """Judge what a change of sequences takes away from what was proven.

    Compares the files of the work tree with a base: requirements that no longer hold, were removed or ask less, margins lost.

    Exit code, the first that applies: 2 bad input or usage, 1 blocked, 3 blocked only by what is undecided, 0 may pass.
    """

    def work() -> int:
        from seqcheck.cli.gating import gate_files, print_schema

        if schema:
            return print_schema()
        request = GateRequest(
            files=tuple(files or ()),
            base=base,
            main=main,
            base_result=base_result,
            policy=policy,
            today=_day(today),
            jobs=jobs or cores(),
            cache=None if no_cache else cache or usual_cache(),
            most_classes=most_classes,
            most_seconds=most_seconds,
            junit=junit,
            sarif=sarif,
            markdown=markdown,
            json=json,
            annotations=annotations,
        )
        return gate_files(request)

    end_with(work)


def _day(text: str | None) -> date:
    """The day of a text; today if there is none. Raises UsageError if it is no day."""
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"--date: expected a day such as 2030-12-31, found {text!r}") from None


def usual_cache() -> Path | None:
    """Where results are remembered unless told; None where the system names no home."""
    told = os.environ.get("SEQCHECK_CACHE")
    if told:
        return Path(told)
    shared = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    if shared:
        return Path(shared) / "seqcheck"
    try:
        return Path.home() / ".cache" / "seqcheck"
    except RuntimeError:
        return None
