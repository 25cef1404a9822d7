"""Checks a file, finds out what a reviewer is shown, and puts the page and the JSON down."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions, Report
from seqcheck.cli.block import lines
from seqcheck.cli.caution import caution
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.review_request import ReviewRequest
from seqcheck.cli.terminal import show
from seqcheck.cli.version import version_text
from seqcheck.diagrams.diagram import plain_diagrams, timed_diagrams
from seqcheck.diagrams.nominal_cycle import nominal_cycle
from seqcheck.errors import UsageError
from seqcheck.explore.limits import Limits
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence
from seqcheck.report.build_review import review_of
from seqcheck.report.files import input_files
from seqcheck.report.page import review_page
from seqcheck.report.page_drawings import PageDrawing, page_drawings
from seqcheck.report.replay import Replay
from seqcheck.report.replay_runs import nominal_replay, replay_runs
from seqcheck.report.review import Review
from seqcheck.report.review_json import review_json
from seqcheck.report.review_options import ReviewOptions


def review_file(request: ReviewRequest) -> int:
    """Review the file; the exit code, as for check. Both outputs are ready before either is written."""
    if request.page == STANDARD_OUTPUT or request.page == request.file:
        raise UsageError("--out: the page goes into a file of its own")
    for path in (request.page, request.json):
        if path is not None:
            refuse_unless_writable(path)
    with progress(str(request.file)) as report:
        review, page = _reviewed(request, report)
    facts = json_text(review) if request.json is not None else ""
    write_output(request.page, page)
    if request.json is not None:
        write_output(request.json, facts)
    if request.json != STANDARD_OUTPUT:
        show((lines(*_told(review, request)), *caution()))
    return review.outcome.exit_code()


def json_text(review: Review) -> str:
    """The facts of the page as JSON."""
    return json.dumps(review_json(review), indent=1) + "\n"


def _reviewed(request: ReviewRequest, report: Report | None) -> tuple[Review, str]:
    sequence = read_sequence(request.file)
    limits = Limits(
        classes=request.most_classes, seconds=request.most_seconds, memory_mib=request.most_memory_mib
    )
    outcome = check_sequence(sequence, CheckOptions(limits=limits, jobs=request.jobs, report=report))
    options = ReviewOptions(
        date=request.date,
        files=input_files(sequence),
        version=version_text().removeprefix("seqcheck").lstrip(", "),
        faults=request.faults,
        limits=limits,
        jobs=request.jobs,
    )
    with _drawn_beside(sequence, request.jobs) as drawn:
        review = review_of(sequence, outcome, options)
        nominal, drawings = drawn()
    return review, review_page(review, replay_runs(outcome, nominal), drawings)


Drawn = tuple[Replay | str, tuple[PageDrawing, ...]]


def _drawn(sequence: Sequence) -> Drawn:
    cycle = nominal_cycle(sequence)
    return nominal_replay(cycle), page_drawings((*plain_diagrams(sequence), *timed_diagrams(sequence, cycle)))


@contextmanager
def _drawn_beside(sequence: Sequence, jobs: int) -> Iterator[Callable[[], Drawn]]:
    """Draws in a process of its own while other things are done here, where more than one is allowed."""
    if jobs <= 1:
        yield partial(_drawn, sequence)
        return
    with ProcessPoolExecutor(1) as pool:
        yield pool.submit(_drawn, sequence).result


def _told(review: Review, request: ReviewRequest) -> tuple[str, ...]:
    head = review.head
    counts = (("hold", head.holding), ("violated", head.violated), ("vacuous", head.vacuous), ("undecided", head.undecided))
    verdicts = ", ".join(f"{len(ids)} {word}" for word, ids in counts if ids)
    written: list[Path] = [request.page, *([request.json] if request.json is not None else [])]
    return (f"{request.file}: {verdicts or 'no requirements'}", *(f"written: {path}" for path in written))
