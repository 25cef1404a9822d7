"""Checks one requirement, and once more with a limit that its longest run breaks, and shows the explanation."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.cli.block import Block, Heading, lines
from seqcheck.cli.caution import caution
from seqcheck.cli.terminal import show
from seqcheck.reader.read import read_sequence
from seqcheck.report.explanation import Explanation, explanation_of, tightened


def explain_requirement(file: Path, identity: str) -> int:
    """Explain one requirement; the exit code."""
    sequence = read_sequence(file)
    options = CheckOptions(only=(identity,), traps=False)
    outcome = check_sequence(sequence, options)
    judged = outcome.requirements[0]
    explanation = explanation_of(outcome, judged, _longest(outcome, judged, options))
    show((*explanation_blocks(explanation), *caution()))
    return outcome.exit_code()


def _longest(outcome: Outcome, judged: RequirementOutcome, options: CheckOptions) -> RequirementOutcome | None:
    wanted = tightened(judged)
    if wanted is None:
        return None
    return check_sequence(replace(outcome.sequence, requirements=(wanted,)), options).requirements[0]


def explanation_blocks(explanation: Explanation) -> tuple[Block, ...]:
    """The sentences under their headings; a part without sentences is left out."""
    parts = (
        (f"{explanation.requirement}: what was asked", explanation.asked),
        ("What was found", explanation.found),
        ("Why", explanation.why),
        (explanation.run_title, explanation.run),
        ("What was assumed", explanation.assumed),
    )
    return tuple(block for title, sentences in parts if sentences for block in (Heading(title), lines(*sentences)))
