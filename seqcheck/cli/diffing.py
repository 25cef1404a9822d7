"""Compares two files and shows the difference."""

from __future__ import annotations

import json
from pathlib import Path

from seqcheck.cli.caution import caution
from seqcheck.cli.diff_text import difference_blocks
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.outcome_json import Json, witness_json
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.terminal import show
from seqcheck.compare.difference import Difference, Direction, OnlyOne, Sameness, StayChange, difference
from seqcheck.compare.order_search import OrderLimits
from seqcheck.errors import Problem, SequenceFileError
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence

FORMAT = 1
"""Raised whenever a name disappears or changes its meaning; new names may come at any time."""

CODES = {
    Sameness.SAME_FORM: ALL_HOLD,
    Sameness.SAME_ORDERS: ALL_HOLD,
    Sameness.DIFFERENT: BROKEN,
    Sameness.NOT_DECIDED: UNDECIDED,
}


def diff_files(old: Path, new: Path, most_pairs: int, most_seconds: float, json_path: Path | None) -> int:
    """Compare; the exit code. Raises SequenceFileError with the problems of both files."""
    if json_path is not None:
        refuse_unless_writable(json_path)
    found = difference(*_read_both(old, new), OrderLimits(pairs=most_pairs, seconds=most_seconds))
    if json_path is not None:
        write_output(json_path, json.dumps(difference_json(found, old, new), indent=2) + "\n")
    if json_path != STANDARD_OUTPUT:
        show((*difference_blocks(found, str(old), str(new)), *caution()))
    return CODES[found.sameness]


def _read_both(old: Path, new: Path) -> tuple[Sequence, Sequence]:
    read: list[Sequence] = []
    problems: list[Problem] = []
    for path in (old, new):
        try:
            read.append(read_sequence(path))
        except SequenceFileError as error:
            problems.extend(error.problems)
    if problems:
        raise SequenceFileError(problems)
    return read[0], read[1]


def difference_json(found: Difference, old: Path, new: Path) -> Json:
    """The difference as plain data."""
    return {
        "kind": "seqcheck diff",
        "format": FORMAT,
        "old": str(old),
        "new": str(new),
        "exit_code": CODES[found.sameness],
        "verdict": found.sameness.value,
        "only_new": _direction(found.gained),
        "only_old": _direction(found.lost),
        "stays": [_stay(part) for part in found.stays],
        "not_measured": list(found.not_measured),
        "parts": [
            {"kind": part.kind.value, "where": part.where, "old": part.old or None, "new": part.new or None} for part in found.parts
        ],
    }


def _direction(found: Direction) -> Json:
    only = found.found
    return {
        "complete": found.complete,
        "acts_covered": found.acts_covered,
        "failures_covered": found.failures_covered,
        "found": None if only is None else _only(only),
    }


def _only(only: OnlyOne) -> Json:
    return {
        "event": only.event,
        "instead": list(only.instead),
        "at_same_times": only.at_same_times,
        "run": witness_json(only.witness),
    }


def _stay(part: StayChange) -> Json:
    return {
        "step": part.step,
        "old_us": [part.old.shortest_us, part.old.longest_us],
        "new_us": [part.new.shortest_us, part.new.longest_us],
        "run": None if part.run is None else witness_json(part.run),
    }
