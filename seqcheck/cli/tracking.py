"""Works out the tracks of a file's splices, shows them, and puts them down as JSON where asked."""

from __future__ import annotations

import json
import time

from seqcheck.check.options import CheckOptions
from seqcheck.check.track import Track, track_sequence
from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.terminal import say, show
from seqcheck.cli.track_json import tracks_json
from seqcheck.cli.track_request import TrackRequest
from seqcheck.cli.track_text import track_blocks
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.verdict import Verdict


def track_file(request: TrackRequest) -> int:
    """The tracks of the file in the request; the exit code."""
    if request.json is not None:
        refuse_unless_writable(request.json)
    started_s = time.monotonic()
    sequence = read_sequence(request.file)
    with progress(str(request.file)) as report:
        options = CheckOptions(only=request.only, faults=request.faults, jobs=request.jobs, report=report)
        tracks = track_sequence(sequence, options)
    code = exit_code(tracks)
    if request.json != STANDARD_OUTPUT:
        show((*(block for track in tracks for block in track_blocks(track)), *caution()))
    if request.json is not None:
        write_output(request.json, json.dumps(tracks_json(sequence, tracks, code), indent=2) + "\n")
    say(f"seqcheck: {request.file} took {time.monotonic() - started_s:.1f} s")
    return code


def exit_code(tracks: tuple[Track, ...]) -> int:
    """1 violated or vacuous, 3 not decided, 0 all hold."""
    verdicts = {track.judged.verdict for track in tracks}
    if verdicts & {Verdict.VIOLATED, Verdict.VACUOUS}:
        return BROKEN
    return UNDECIDED if Verdict.UNDECIDED in verdicts else ALL_HOLD
