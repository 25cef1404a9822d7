"""`draw at most` and `refill within` on the trial (see draw_file.py): worst draw 1.81 m, overspeed 20 % of 1 m/s."""

from __future__ import annotations

import pytest
from requirements.draw_file import SPLICER

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.accumulator import accumulator_setting, overfill_room_m


def outcome_of(requirement: str) -> RequirementOutcome:
    """The verdict on one requirement of the trial with 2 m of stroke."""
    text = SPLICER.replace("STROKE", "2").replace("accumulator: never below reserve, UNDER", requirement)
    [outcome] = check_sequence(read_sequence_text(text, "trial.yaml")).requirements
    return outcome


@pytest.mark.parametrize(
    ("limit", "verdict"),
    [("1.8281 m", "holds"), ("1.81 m", "holds"), ("1791.9 mm", "violated")],
    ids=["1 % more", "just", "1 % less"],
)
def test_a_draw_is_held_against_the_stated_length(limit: str, verdict: str) -> None:
    outcome = outcome_of(f"draw at most: {limit}")
    assert (outcome.verdict.value, outcome.judged_on) == (verdict, "machine")
    assert outcome.measures[0].worst == pytest.approx(1.81, abs=1e-9)
    assert outcome.witness is None or outcome.witness.confirmed


def test_a_length_to_draw_at_most_must_be_above_zero() -> None:
    with pytest.raises(SequenceFileError, match="above zero"):
        outcome_of("draw at most: 0 m")


def test_the_level_is_back_after_the_longest_refill() -> None:
    """Filled is refilled from as low as the reserve: 10 * 2 m * 18.1 % / 0.2 m/s = 18.1 s, over 0.9 for its spread: 20.11 s.

    5 % up to the running level, which begins as soon as the unwind is at speed, take 5.556 s; 13.1 % from there 14.556 s.
    """
    outcome = outcome_of("refill within: 20.2 s, level: filled, given: anything")
    assert outcome.verdict.value == "holds"
    [measure] = outcome.measures
    assert (measure.worst, measure.is_exact) == (pytest.approx(20_111_112, abs=2), False)


def test_a_refill_that_may_take_longer_is_violated_by_a_confirmed_run() -> None:
    outcome = outcome_of("refill within: 20 s, level: filled, given: anything")
    assert outcome.witness is not None
    assert (outcome.verdict.value, outcome.witness.confirmed) == ("violated", True)


def test_what_a_stop_from_overspeed_still_brings_is_no_room() -> None:
    """20 m * 71.9 % less 0.2^2 / (2 * 1.2) m, the triangle of a stop of 1 s from 1.2 m/s down to 1 m/s (worked by hand)."""
    text = SPLICER.replace("STROKE", "2").replace("UNDER", "given: anything")
    sequence = read_sequence_text(text, "trial.yaml")
    room_m = overfill_room_m(accumulator_setting(sequence.requirements[0], sequence))
    assert room_m == pytest.approx(14.38 - 1 / 60, abs=1e-9)
