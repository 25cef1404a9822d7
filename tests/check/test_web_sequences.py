"""The bundled sequences about web: what their comments work out by hand is what the check finds, and there is no finding."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.reader.findings import static_findings
from seqcheck.reader.read import read_sequence

SEQUENCES = Path(__file__).parents[2] / "sequences"
PRINTED, NONWOVEN = "printed_film_registered_splice", "nonwoven_rewind_cut_over"


def judged(name: str, requirement: str) -> RequirementOutcome:
    sequence = read_sequence(SEQUENCES / f"{name}.yaml")
    (outcome,) = check_sequence(sequence, CheckOptions(only=(requirement,), traps=False)).requirements
    return outcome


@pytest.mark.parametrize("name", [PRINTED, NONWOVEN])
def test_nothing_is_found_without_running(name: str) -> None:
    assert static_findings(read_sequence(SEQUENCES / f"{name}.yaml")) == ()


def test_the_mark_rests_where_the_comment_says() -> None:
    outcome = judged(PRINTED, "R1")
    assert outcome.verdict.value == "holds"
    assert [part.worst for part in outcome.measures] == [pytest.approx(7.2, abs=1e-9), pytest.approx(4.04, abs=1e-9)]


def test_the_web_of_the_worst_cut_over_is_what_the_comment_says() -> None:
    outcome = judged(NONWOVEN, "A1")
    assert outcome.verdict.value == "holds"
    worst = max(outcome.measures, key=lambda measure: measure.worst)
    assert worst.quantity == "web taken up from the emptied level until the line stands"
    assert (worst.worst, worst.limit) == (pytest.approx(16.6, abs=1e-9), pytest.approx(19.2, abs=1e-5))
