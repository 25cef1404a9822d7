"""The reject gate's counts, against those worked by hand (see reject_file.py)."""

from __future__ import annotations

import pytest
from requirements.reject_file import reject_file

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text


def outcome_of(text: str) -> RequirementOutcome:
    (outcome,) = check_sequence(read_sequence_text(text, "trial.yaml")).requirements
    return outcome


def test_a_gate_at_the_counts_worked_by_hand_holds() -> None:
    outcome = outcome_of(reject_file())
    assert (outcome.verdict.value, outcome.judged_on) == ("holds", "machine")
    assert [(part.quantity, part.worst, part.limit) for part in outcome.measures] == [
        ("count at which the gate is told to open", 10587.0, 10587),
        ("count at which the gate is told to close", 11243.0, 11243),
        ("stored web when the count begins, least", pytest.approx(4.81, abs=1e-9), None),
        ("stored web when the count begins, most", pytest.approx(4.82, abs=1e-9), None),
    ]
    assert all(part.is_exact for part in outcome.measures), "one run has both times at their ends"


@pytest.mark.parametrize(
    ("opens", "closes", "what"),
    [("10588 counts", "11243 counts", "open"), ("10587 counts", "11242 counts", "close")],
)
def test_one_count_too_late_or_too_soon_is_not_passed(opens: str, closes: str, what: str) -> None:
    """By bound, as the longest times need not come from one run: undecided, not violated."""
    outcome = outcome_of(reject_file(opens, closes))
    assert outcome.verdict.value == "undecided"
    assert outcome.reason == f"by bound: count at which the gate is told to {what}"


def test_a_full_switch_that_lies_leaves_the_content_unknown() -> None:
    """With the switch stuck on a splice begins without ever having been filled, which `level: filled` rules out."""
    outcome = outcome_of(reject_file(more=", under: fault store.filled_signal_stuck_on"))
    assert outcome.verdict.value == "violated"


def test_an_encoder_at_the_unwind_needs_all_that_can_be_stored_at_arrival() -> None:
    """Reserve 2 m to full 20 m: from (6.0 + 2 - 0.1) x 998 = 7884.2, less 101 counts, to (6.1 + 20 + 0.3) x 1002 = 26452.8."""
    outcome = outcome_of(reject_file("7783 counts", "26453 counts", ", encoder: unwind"))
    assert outcome.verdict.value == "holds"
    assert [part.limit for part in outcome.measures[:2]] == [7783, 26453]


def test_overspeed_may_have_filled_above_the_level() -> None:
    """The trial fills on at 20 % for as long as it likes: up to full, 20 m, of which 0.80 m are drawn at least."""
    text = reject_file().replace("overspeed: 0 %", "overspeed: 20 %")
    most = outcome_of(text).measures[3]
    assert most.worst == pytest.approx(19.2, abs=1e-9)


def test_from_the_running_level_no_filling_is_asked_for() -> None:
    """Running level 3 m, without overspeed: 2.19..2.20 m when the count begins."""
    measures = outcome_of(reject_file(more=", level: running")).measures
    assert [part.worst for part in measures[2:]] == [pytest.approx(2.19, abs=1e-9), pytest.approx(2.2, abs=1e-9)]


def test_ranges_and_counts_that_cannot_be_are_mistakes_in_the_file() -> None:
    with pytest.raises(SequenceFileError, match=r"expected the smaller one first, found '1\.1\.\.1 m'"):
        read_sequence_text(reject_file().replace("1..1.1 m", "1.1..1 m"), "trial.yaml")
    with pytest.raises(SequenceFileError, match="expected 'counts' above zero"):
        read_sequence_text(reject_file().replace("998..1002 counts/m", "0 counts/m"), "trial.yaml")
    with pytest.raises(SequenceFileError, match="counts per length such as '1000 counts/m'"):
        read_sequence_text(reject_file().replace("998..1002 counts/m", "998..1002 mm"), "trial.yaml")


def test_times_that_no_one_run_has_together_are_a_bound() -> None:
    """With a stop of 1..1.4 s the unwind stands 0.3 s at most, and the count begins 1.41 s after it left line speed at most.

    The stop of 1 s is left by the read that sees 1.3 s gone (1.31 s, 0.31 s of standstill), the one of 1.4 s by the read that sees
    it stand (1.41 s, 0.01 s): 5.62 - (1.41 + 0.31) / 2 = 4.76 m is less than either run has.
    """
    text = reject_file().replace("unwind: {stop: 1..1 s", "unwind: {stop: 1..1.4 s")
    least = outcome_of(text).measures[2]
    assert (least.worst, least.is_exact) == (pytest.approx(4.76, abs=1e-9), False)
