"""Runs one cycle many times and shows how its results spread, beside what is proven."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from seqcheck.check.distribution import Distribution
from seqcheck.check.monte_carlo import MonteCarlo, monte_carlo
from seqcheck.cli.block import Block, Cell, Heading, Lines, Tone, lines
from seqcheck.cli.caution import caution
from seqcheck.cli.distribution_text import distribution_blocks
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output
from seqcheck.cli.progress import progress
from seqcheck.cli.simulate_request import SimulateRequest
from seqcheck.cli.terminal import show
from seqcheck.errors import UsageError
from seqcheck.reader.read import read_sequence

FORMAT = 1
"""Raised whenever a name disappears or changes its meaning; new names may come at any time."""


def simulate_runs(request: SimulateRequest) -> int:
    """Run as requested; the exit code: 1 a sample lies beyond what is proven, 3 physics disagree or a run did not finish."""
    assert request.runs is not None
    _refuse(request)
    sequence = read_sequence(request.file)
    with progress(str(request.file)) as report:
        result = monte_carlo(
            sequence,
            runs=request.runs,
            seed=request.seed,
            cycle=request.cycle,
            jobs=request.jobs,
            report=None if report is None else lambda done, total: report("runs", done, total, 0),
        )
    if request.json is not None:
        write_output(request.json, json.dumps(monte_carlo_json(result), indent=2) + "\n")
    if request.json != STANDARD_OUTPUT:
        show((*monte_carlo_blocks(result), *caution()))
    return exit_code_of(result)


def exit_code_of(result: MonteCarlo) -> int:
    """What the result means for whoever asked for it."""
    if result.beyond:
        return BROKEN
    return UNDECIDED if result.disagreements or result.unfinished else ALL_HOLD


def _refuse(request: SimulateRequest) -> None:
    given = (
        ("--act", request.acts),
        ("--fault", request.faults),
        ("--csv", request.csv),
        ("--vcd", request.vcd),
        ("--chart", request.chart),
        ("--diameter", request.diameter),
    )
    names = [name for name, value in given if value]
    if names:
        raise UsageError(f"--runs: {', '.join(names)} would be for one run only; leave out one or the other")
    if request.json is not None:
        refuse_unless_writable(request.json)


def monte_carlo_blocks(result: MonteCarlo) -> tuple[Block, ...]:
    """All that a person is told."""
    return (
        Heading(f"{result.file}: {result.sequence}"),
        lines(
            f"{result.runs} runs of {result.cycle}, seed {result.seed}; every time drawn evenly from its range,"
            " nothing fails.",
            f"The machine is brought there by: {', '.join(result.acts)}.",
            f"Steps: {', '.join(result.steps)}.",
        ),
        *(block for part in result.distributions for block in distribution_blocks(part)),
        *_troubles(result),
    )


def _troubles(result: MonteCarlo) -> tuple[Block, ...]:
    texts = [
        f"DEFECT: a sample of {part.quantity} lies beyond what is proven. Please report it with the file."
        for part in result.beyond
    ]
    texts += [f"Physics and sequence disagree: {text}" for text in result.disagreements]
    if result.unfinished:
        texts.append(f"{result.unfinished} runs did not come to the end of the cycle.")
    found: list[Block] = [Lines(tuple(Cell(text, Tone.BAD) for text in texts))] if texts else []
    if result.missing:
        found.append(lines(*(f"Not worked out: {text}." for text in result.missing)))
    return tuple(found)


def monte_carlo_json(result: MonteCarlo) -> dict[str, Any]:
    """The result as plain data; the same result gives the same data in the same order."""
    data = asdict(result)
    data["distributions"] = [_distribution_json(part) for part in result.distributions]
    return {"format": FORMAT, "exit_code": exit_code_of(result), **data}


def _distribution_json(part: Distribution) -> dict[str, Any]:
    return {
        **asdict(part),
        "percentiles": {str(percent): value for percent, value in part.percentiles},
        "worst": part.worst,
        "left_to_proven": part.left,
        "closeness": part.closeness,
        "is_beyond_proven": part.is_beyond,
    }
