"""Checks a file, makes the acceptance test for its machine, and puts it down as HTML and as Markdown."""

from __future__ import annotations

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions, Report
from seqcheck.check.outcome import Outcome
from seqcheck.cli.block import lines
from seqcheck.cli.caution import caution
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.protocol_request import ProtocolRequest
from seqcheck.cli.terminal import show
from seqcheck.cli.version import version_text
from seqcheck.errors import UsageError
from seqcheck.explore.limits import Limits
from seqcheck.reader.read import read_sequence
from seqcheck.report.build_protocol import protocol_of
from seqcheck.report.files import input_files
from seqcheck.report.protocol import Protocol
from seqcheck.report.protocol_markdown import protocol_markdown
from seqcheck.report.protocol_page import protocol_page
from seqcheck.report.review_options import ReviewOptions


def write_protocol(request: ProtocolRequest) -> int:
    """Write the test; the exit code, as for check. Both texts are ready before either is written."""
    _refuse(request)
    with progress(str(request.file)) as report:
        outcome, protocol = _made(request, report)
    page, text = protocol_page(protocol), protocol_markdown(protocol)
    write_output(request.page, page)
    write_output(request.text, text)
    if STANDARD_OUTPUT not in (request.page, request.text):
        show((lines(*_told(protocol, request)), *caution()))
    return outcome.exit_code()


def _refuse(request: ProtocolRequest) -> None:
    paths = (request.page, request.text)
    if request.page == request.text or request.file in paths:
        raise UsageError("--html, --markdown: each goes into a file of its own")
    for path in paths:
        refuse_unless_writable(path)


def _made(request: ProtocolRequest, report: Report | None) -> tuple[Outcome, Protocol]:
    sequence = read_sequence(request.file)
    limits = Limits(
        classes=request.most_classes, seconds=request.most_seconds, memory_mib=request.most_memory_mib
    )
    outcome = check_sequence(sequence, CheckOptions(limits=limits, jobs=request.jobs, report=report))
    options = ReviewOptions(
        date=request.date,
        files=input_files(sequence),
        version=version_text().removeprefix("seqcheck").lstrip(", "),
        limits=limits,
        jobs=request.jobs,
    )
    if report is not None:
        report("exploring faults for the test", 0, 1, 0)
    return outcome, protocol_of(outcome, options)


def _told(protocol: Protocol, request: ProtocolRequest) -> tuple[str, ...]:
    extent = f"{request.file}: {protocol.checks} checks in {len(protocol.set_ups)} set-ups"
    unproven = [check.key for set_up in protocol.set_ups for check in set_up.checks if not check.is_proven]
    left = (f"not proven, so nothing to accept: {', '.join(unproven)}",) if unproven else ()
    return extent, *left, f"written: {request.page}", f"written: {request.text}"
