"""`seqcheck protocol`: its arguments; what it does is in protocol_writing.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.check_command import Jobs, MostClasses, MostMemory, MostSeconds, cores
from seqcheck.cli.command_end import end_with
from seqcheck.cli.protocol_request import ProtocolRequest

TestedFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
HtmlPath = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Where the HTML goes; beside FILE, as FILE_protocol.html, if not given.")
]
MarkdownPath = Annotated[
    Path | None, typer.Option(metavar="PATH", help="Where the Markdown goes; beside FILE, as FILE_protocol.md, if not given.")
]
Date = Annotated[str, typer.Option(metavar="TEXT", help="Date of the test, as it shall stand on the paper.")]


def protocol(
    file: TestedFile,
    html: HtmlPath = None,
    markdown: MarkdownPath = None,
    date: Date = "",
    jobs: Jobs = None,
    most_classes: MostClasses = None,
    most_seconds: MostSeconds = None,
    most_memory: MostMemory = None,
) -> None:
    """Write the acceptance test for the machine of FILE: what to disconnect, press and measure, what must happen, where to sign.

    One HTML file to print and the same as Markdown. Exit code as for check.
    """
    request = ProtocolRequest(
        file=file,
        html=html,
        markdown=markdown,
        date=date,
        jobs=jobs or cores(),
        most_classes=most_classes,
        most_seconds=most_seconds,
        most_memory_mib=most_memory,
    )

    def work() -> int:
        from seqcheck.cli.protocol_writing import write_protocol

        return write_protocol(request)

    end_with(work)
