"""Tries the changes of a file, shows what came of them, and puts it down as JSON where asked."""

from __future__ import annotations

import json
import time

from seqcheck.adequacy.adequacy import Adequacy, AdequacyOptions, adequacy_of
from seqcheck.adequacy.change import ChangeKind
from seqcheck.adequacy.try_change import Fate
from seqcheck.cli.adequacy_json import adequacy_json
from seqcheck.cli.adequacy_request import AdequacyRequest
from seqcheck.cli.adequacy_text import adequacy_blocks
from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.terminal import say, show
from seqcheck.errors import UsageError, nearest_name
from seqcheck.reader.read import read_sequence


def adequacy_of_file(request: AdequacyRequest) -> int:
    """The adequacy of the file in the request; the exit code. Raises UsageError for a kind of change that there is not."""
    kinds = tuple(_kind(text) for text in request.kinds)
    if request.json is not None:
        refuse_unless_writable(request.json)
    started_s = time.monotonic()
    sequence = read_sequence(request.file)
    with progress(str(request.file)) as report:
        options = AdequacyOptions(
            kinds=kinds, every=request.every, faults=request.faults, jobs=request.jobs, report=report
        )
        found = adequacy_of(sequence, options)
    code = exit_code(found)
    if request.json != STANDARD_OUTPUT:
        show((*adequacy_blocks(found, shows_all=request.shows_all), *caution()))
    if request.json is not None:
        write_output(request.json, json.dumps(adequacy_json(found, code), indent=2) + "\n")
    say(f"seqcheck: {request.file} took {time.monotonic() - started_s:.1f} s")
    return code


def exit_code(found: Adequacy) -> int:
    """1 a change goes unnoticed, 3 interrupted, undecided, or a requirement does not hold in the first place, else 0."""
    if found.count(Fate.UNNOTICED):
        return BROKEN
    is_open = found.is_interrupted or found.not_held or found.count(Fate.UNDECIDED)
    return UNDECIDED if is_open else ALL_HOLD


def _kind(text: str) -> ChangeKind:
    known = [kind.value for kind in ChangeKind]
    if text not in known:
        nearest = nearest_name(text, known)
        hint = f"; did you mean {nearest}?" if nearest else ""
        raise UsageError(f"expected a kind of change ({', '.join(known)}), found {text!r}{hint}")
    return ChangeKind(text)
