"""The files for build servers that `seqcheck check` writes where asked: JUnit XML and SARIF."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from seqcheck.cli.check_request import CheckRequest
from seqcheck.cli.output_file import refuse_unless_writable, write_output
from seqcheck.cli.version import version_text
from seqcheck.gate.junit import junit_text
from seqcheck.gate.noted import cases_of_result, noted_of_result
from seqcheck.gate.result import SequenceResult
from seqcheck.gate.sarif import sarif_text


def refuse_unless_ready(request: CheckRequest) -> None:
    """Find out before long work whether the files can be put down. Raises UsageError if not."""
    for path in (request.junit, request.sarif):
        if path is not None:
            refuse_unless_writable(path)


def write_server_files(request: CheckRequest, results: tuple[SequenceResult, ...]) -> None:
    """Write what was asked for, each file whole or not at all. Raises UsageError if it cannot be written."""
    for path, text in _asked(request, results):
        write_output(path, text())


def _asked(request: CheckRequest, results: tuple[SequenceResult, ...]) -> list[tuple[Path, Callable[[], str]]]:
    found: list[tuple[Path, Callable[[], str]]] = []
    if request.junit is not None:
        cases = tuple(case for result in results for case in cases_of_result(result))
        found.append((request.junit, lambda: junit_text(cases)))
    if request.sarif is not None:
        noted = tuple(part for result in results for part in noted_of_result(result))
        found.append((request.sarif, lambda: sarif_text(noted, version_text().partition(" ")[2])))
    return found
