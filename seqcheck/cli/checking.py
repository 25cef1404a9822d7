"""Checks files one after the other, shows each outcome, and puts all of them down as JSON where asked."""

from __future__ import annotations

import json
import time
from dataclasses import dataclass
from pathlib import Path

from seqcheck.adequacy.hints import repair_hints
from seqcheck.check.check_both import check_both
from seqcheck.check.options import CheckOptions, Report
from seqcheck.cli.caution import caution
from seqcheck.cli.check_request import CheckRequest
from seqcheck.cli.exit_code import BAD_INPUT, worst
from seqcheck.cli.hint_text import hints_below, hints_json
from seqcheck.cli.outcome_json import FORMAT, Json, outcome_json, refusal_json
from seqcheck.cli.outcome_text import outcome_blocks
from seqcheck.cli.output_file import STANDARD_OUTPUT, ready_folder, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.property_json import property_json
from seqcheck.cli.property_text import property_blocks
from seqcheck.cli.scenario_writing import scenario_blocks, write_scenarios
from seqcheck.cli.server_files import refuse_unless_ready, write_server_files
from seqcheck.cli.terminal import say, show
from seqcheck.errors import Place, Problem, SequenceFileError, UsageError
from seqcheck.explore.limits import Limits
from seqcheck.gate.result import SequenceResult, kept_result
from seqcheck.reader.read import read_sequence


@dataclass(frozen=True, slots=True)
class _Checked:
    """One file: its exit code, what JSON says of it, and whether somebody stopped the check in it."""

    code: int
    data: Json
    result: SequenceResult
    is_interrupted: bool = False


def check_files(request: CheckRequest) -> int:
    """Check every file of the request; the exit code. An interrupted file is the last one."""
    if request.json is not None:
        refuse_unless_writable(request.json)
    refuse_unless_ready(request)
    if request.witnesses is not None:
        ready_folder(request.witnesses)
    checked: list[_Checked] = []
    for file in request.files:
        checked.append(_check_file(file, request))
        if checked[-1].is_interrupted:
            break
    for file in request.files[len(checked) :]:
        say(f"seqcheck: {file} was not checked")
    code = worst(part.code for part in checked)
    if request.json is not None:
        write_output(request.json, json_text(tuple(part.data for part in checked), code))
    write_server_files(request, tuple(part.result for part in checked))
    return code


def json_text(outcomes: tuple[Json, ...], code: int) -> str:
    """The whole JSON document."""
    return json.dumps({"format": FORMAT, "exit_code": code, "outcomes": outcomes}, indent=2) + "\n"


def _check_file(file: Path, request: CheckRequest) -> _Checked:
    started_s = time.monotonic()
    try:
        with progress(str(file)) as report:
            checked = check_both(read_sequence(file), _options(request, report), request.examples, request.seed)
    except SequenceFileError as error:
        say(str(error))
        return _refused(file, error.problems)
    except UsageError as error:
        say(f"seqcheck: {error}")
        problem = Problem(place=Place(str(file), 1, 1), expected="a check that can be made", found=str(error))
        return _Checked(BAD_INPUT, refusal_json(str(file), ()), SequenceResult(file=str(file), problems=(problem,)))
    outcome, tests = checked.outcome, checked.tests
    hints = repair_hints(outcome.sequence, outcome.requirements) if request.hints else ()
    written = write_scenarios(file, checked, request.witnesses)
    if request.json != STANDARD_OUTPUT:
        below = hints_below(outcome, hints) if request.hints else {}
        show((*outcome_blocks(outcome, below), *property_blocks(tests), *scenario_blocks(file, written), *caution()))
    say(f"seqcheck: {file} took {time.monotonic() - started_s:.1f} s")
    return _Checked(
        outcome.exit_code(request.strict),
        outcome_json(outcome, strict=request.strict) | {"property_tests": property_json(tests)}
        | ({"hints": hints_json(hints)} if request.hints else {}),
        kept_result(outcome),
        bool(outcome.stopped),
    )


def _refused(file: Path, problems: tuple[Problem, ...]) -> _Checked:
    return _Checked(BAD_INPUT, refusal_json(str(file), problems), SequenceResult(file=str(file), problems=problems))


def _options(request: CheckRequest, report: Report | None) -> CheckOptions:
    return CheckOptions(
        only=request.only,
        faults=request.faults,
        limits=Limits(
            classes=request.most_classes, seconds=request.most_seconds, memory_mib=request.most_memory_mib
        ),
        jobs=request.jobs,
        report=report,
    )
