"""Works out the budget of a file, shows it, and puts it down as SVG and JSON where asked."""

from __future__ import annotations

import json
import time

from seqcheck.check.budget import PARTS, Budget, BudgetOptions, budget_sequence
from seqcheck.check.options import CheckOptions, Report
from seqcheck.cli.budget_json import budget_json
from seqcheck.cli.budget_request import BudgetRequest
from seqcheck.cli.budget_text import budget_blocks
from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.terminal import say, show
from seqcheck.diagrams.waterfall import budget_svg
from seqcheck.reader.read import read_sequence


def budget_file(request: BudgetRequest) -> int:
    """The budget of the file in the request; the exit code."""
    for path in (request.svg, request.json):
        if path is not None:
            refuse_unless_writable(path)
    started_s = time.monotonic()
    sequence = read_sequence(request.file)
    with progress(str(request.file)) as report:
        budget = budget_sequence(sequence, _options(request, report))
    if request.json != STANDARD_OUTPUT:
        show((*budget_blocks(budget), *caution()))
    code = exit_code(budget)
    if request.svg is not None:
        write_output(request.svg, budget_svg(budget))
    if request.json is not None:
        write_output(request.json, json.dumps(budget_json(budget, code), indent=2) + "\n")
    say(f"seqcheck: {request.file} took {time.monotonic() - started_s:.1f} s")
    return code


def exit_code(budget: Budget) -> int:
    """1 the web does not last, 3 not decided or interrupted, 0 it lasts."""
    if budget.proof.is_broken:
        return BROKEN
    return UNDECIDED if budget.stopped or not budget.proof.holds else ALL_HOLD


def _options(request: BudgetRequest, report: Report | None) -> BudgetOptions:
    percent = request.compensation_percent
    return BudgetOptions(
        requirement=request.requirement,
        parts=() if request.is_quick else PARTS,
        keeps_rates=request.keeps_rates,
        compensation=None if percent is None else percent / 100,
        check=CheckOptions(faults=request.faults, jobs=request.jobs, report=report),
    )
