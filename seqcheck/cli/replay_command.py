"""`seqcheck replay`: its arguments; what it does is in replaying.py."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from seqcheck.cli.command_end import end_with
from seqcheck.cli.replay_request import ReplayRequest
from seqcheck.plc.recording_map import RecordingForm, TimeUnit

SequenceFile = Annotated[Path, typer.Argument(metavar="FILE", help="Sequence file.")]
Log = Annotated[Path, typer.Argument(metavar="LOG", help="Recording: VCD if its name ends in .vcd, else CSV.")]
Maps = Annotated[
    list[str] | None,
    typer.Option("--map", metavar="NAME=COLUMN", help="NAME of the sequence is recorded in COLUMN (repeatable)."),
]
Time = Annotated[str | None, typer.Option(metavar="COLUMN", help="The column with the time, if it is not called so.")]
Unit = Annotated[TimeUnit | None, typer.Option(help="Unit of the time column; by its name, else seconds.")]
Rows = Annotated[RecordingForm, typer.Option(help="Rows are written at changes, or are samples of everything.")]
Jitter = Annotated[str, typer.Option(metavar="TIME", help="A time stamp is at most this far from the truth.")]
JsonPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Write the result as JSON; - for standard output.")]
SvgPath = Annotated[Path | None, typer.Option(metavar="PATH", help="Draw measured times beside declared ranges.")]
Suggest = Annotated[bool, typer.Option("--suggest", help="Print measured ranges as a patch to FILE.")]
Apply = Annotated[bool, typer.Option("--apply", help="Change the ranges in FILE as --suggest says.")]
Margin = Annotated[str, typer.Option(metavar="PERCENT", help="How much wider than measured a suggested range is.")]


def replay(
    file: SequenceFile,
    log: Log,
    map_: Maps = None,
    time: Time = None,
    unit: Unit = None,
    form: Rows = RecordingForm.AUTO,
    jitter: Jitter = "0 ms",
    json: JsonPath = None,
    svg: SvgPath = None,
    suggest: Suggest = False,
    apply: Apply = False,
    margin: Margin = "10 %",
) -> None:
    """Hold a recording of the machine against FILE: where controller or machine left the sequence, and all times measured.

    Exit code: 2 bad input or usage, 1 the recording leaves the sequence, 3 it is too uncertain to follow throughout, 0 it
    keeps to the sequence.
    """
    request = ReplayRequest(
        file=file,
        log=log,
        maps=tuple(map_ or ()),
        time=time,
        unit=unit,
        form=form,
        jitter=jitter,
        json=json,
        svg=svg,
        suggest=suggest,
        apply=apply,
        margin=margin,
    )

    def work() -> int:
        from seqcheck.cli.replaying import replay_file

        return replay_file(request)

    end_with(work)
