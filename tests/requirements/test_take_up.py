"""The worst web taken up at a rewind, against the closed form of draw_file.py in the mirror.

The rewind has the unwind's ramps and waits, so as much web is taken up as is drawn there: 1.81 m.
Room from emptied (10 %) to filled (28.1 %): 10 strands x stroke x 0.181 = 1.81 x stroke; from running (23.1 %): 0.5 x stroke.
Source: area between two speed curves, worked by hand; see draw_file.py.
"""

from __future__ import annotations

import pytest
from requirements.draw_file import SPLICER

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import SequenceFileError
from seqcheck.kernel.observer import StopwatchMonitor
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS

MIRROR = (
    ("unwind: {stop", "rewind: {stop"),
    ("running: 15 %, filled: 28.1 %, reserve: 10 %", "running: 23.1 %, filled: 28.1 %, reserve: 5 %, emptied: 10 %"),
    ("unwind: {type: drive", "unwind: {type: rewind"),
    (
        "store: {type: accumulator, fill: fill, unwind: unwind, line: line, filled: full, filled_band: 0..0 ms}",
        "store: {type: take_up, empty: fill, rewind: unwind, line: line, emptied: full, emptied_band: 0..0 ms}",
    ),
    ("accumulator: never below reserve, UNDER", "take-up: WORDS, UNDER"),
)


def rewinder(stroke: str, under: str = "under: no fault", words: str = "never above filled") -> str:
    text = SPLICER
    for first, second in MIRROR:
        assert text.count(first) == 1, first
        text = text.replace(first, second)
    return text.replace("STROKE", stroke).replace("UNDER", under).replace("WORDS", words)


def outcome_of(text: str) -> RequirementOutcome:
    (outcome,) = check_sequence(read_sequence_text(text, "trial.yaml")).requirements
    return outcome


def test_the_worst_is_that_of_the_closed_form() -> None:
    outcome = outcome_of(rewinder("2"))
    assert (outcome.verdict.value, outcome.judged_on) == ("holds", "machine")
    worst = max(outcome.measures, key=lambda measure: measure.worst)
    assert worst.quantity == "web taken up from the emptied level until the rewind is back"
    assert (worst.worst, worst.limit) == (pytest.approx(1.81, abs=1e-9), pytest.approx(3.62, abs=1e-9))
    assert worst.is_exact


def test_one_percent_of_stroke_decides() -> None:
    assert outcome_of(rewinder("1.01")).verdict.value == "holds"
    small = outcome_of(rewinder("0.99"))
    assert small.witness is not None
    assert (small.verdict.value, small.witness.confirmed) == ("violated", True)


def test_an_emptied_switch_stuck_on_lets_a_cut_over_begin_at_the_running_level() -> None:
    outcome = outcome_of(rewinder("1.01", "under: fault store.emptied_signal_stuck_on"))
    assert outcome.verdict.value == "violated"
    until_back = "web taken up from the running level until the rewind is back"
    running = [part for part in outcome.measures if part.quantity == until_back]
    assert running[0].worst == pytest.approx(1.81, abs=1e-9)
    assert running[0].limit == pytest.approx(0.505, abs=2e-6)


def test_emptying_goes_on_until_it_is_found_out() -> None:
    """Never below reserve: 10 x 2 m x (10 % - 5 %) = 1 m, less the stop from overspeed, at 0.2 m/s.

    The stop from 1.2 m/s in 1 s takes 0.2^2 x 1 / (2 x 1.2) = 1/60 m: 0.983333 s at line speed (rounded down), over 0.2 4.916665 s.
    """
    sequence = read_sequence_text(rewinder("2", words="never below reserve"), "trial.yaml")
    (monitor,) = REQUIREMENT_KINDS["take_up"].monitors(sequence.requirements[0], sequence)
    assert isinstance(monitor, StopwatchMonitor)
    assert monitor.at_most_us == 4_916_665
    assert check_sequence(sequence).requirements[0].verdict.value == "violated"  # the trial keeps its output on for good


def test_without_an_emptied_level_the_file_is_refused() -> None:
    text = rewinder("2").replace(", emptied: 10 %", "").replace("emptied: full,", "emptied: full, empty_time: 5..6 s,")
    with pytest.raises(SequenceFileError, match="sections line, rewind and accumulator with an emptied level"):
        read_sequence_text(text, "trial.yaml")


def test_an_emptied_level_above_running_is_a_mistake_in_the_file() -> None:
    with pytest.raises(SequenceFileError, match="expected a level with reserve <= emptied <= running, found 30%"):
        read_sequence_text(rewinder("2").replace("emptied: 10 %", "emptied: 30 %"), "trial.yaml")
