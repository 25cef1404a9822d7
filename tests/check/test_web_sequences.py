"""The bundled sequences about web: what their comments work out by hand is what the check finds, and there is no finding."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.reader.findings import static_findings
from seqcheck.reader.read import read_sequence, read_sequence_text

SEQUENCES = Path(__file__).parents[2] / "sequences"
PRINTED, NONWOVEN = "printed_film_registered_splice", "nonwoven_rewind_cut_over"
WIPES, CARTON = "wipes_line_butt_splice", "carton_line_flying_splice"


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


def test_the_reject_gate_waits_for_the_counts_of_the_comment() -> None:
    outcome = judged(WIPES, "Q4")
    assert outcome.verdict.value == "holds"
    told = {part.quantity: (part.worst, part.limit) for part in outcome.measures}
    assert told["count at which the gate is told to open"] == (32000, 32113)
    assert told["count at which the gate is told to close"] == (35000, 34752)


@pytest.mark.parametrize(("opens", "closes"), [("32114", "35000"), ("32000", "34751")])
def test_a_gate_that_acts_a_count_too_late_or_too_soon_does_not_hold(opens: str, closes: str) -> None:
    text = (SEQUENCES / f"{WIPES}.yaml").read_text(encoding="utf-8")
    changed = text.replace("opens at: 32000 counts", f"opens at: {opens} counts")
    changed = changed.replace("closes at: 35000 counts", f"closes at: {closes} counts")
    assert changed != text
    sequence = read_sequence_text(changed, "wipes.yaml")
    (outcome,) = check_sequence(sequence, CheckOptions(only=("Q4",), traps=False)).requirements
    assert outcome.verdict.value != "holds"


def test_the_tail_of_roll_b_is_what_the_comment_says() -> None:
    outcome = judged(CARTON, "P4")
    assert outcome.verdict.value == "holds"
    assert [(part.worst, part.limit) for part in outcome.measures] == [(pytest.approx(154.0, abs=1e-9), 155.0)]


def test_a_roll_that_was_low_before_its_splice_leaves_a_longer_tail() -> None:
    """The LESSON beside P4."""
    text = (SEQUENCES / f"{CARTON}.yaml").read_text(encoding="utf-8")
    before, after = text.split("  - id: P4")
    short, long = "acknowledge, roll_a", "acknowledge, new_roll, leader, roll_a"
    sequence = read_sequence_text(before + "  - id: P4" + after.replace(short, long, 1), "carton.yaml")
    (outcome,) = check_sequence(sequence, CheckOptions(only=("P4",), traps=False)).requirements
    assert outcome.witness is not None
    assert (outcome.verdict.value, outcome.witness.confirmed) == ("violated", True)
