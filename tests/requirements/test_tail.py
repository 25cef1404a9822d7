"""Web left on the core, against values worked by hand.

v = 60 m/min = 1 m/s. At low there are 5..8 s of it, at most 8 m. The sequence counts 2 s from the read that sees low, which may
come at once: at least 2 s = 2 m are used. The stop takes 1..1.5 s at half the speed: at least 0.5 m.
Most left: 8 - 2 - 0.5 = 5.5 m.
Source: continuity, worked by hand.
"""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

LINE = """\
sequence: Trial
scan: {period: 4..10 ms, write: 0..2 ms}
line: {speed: 60 m/min}
devices:
  unwind: {type: drive, run: run, stop: 1..1.5 s, start: 1..2 s, stopped: us, at_speed: ua}
  roll: {type: roll, low: low, remaining: 5..8 s, unwind: unwind}
  b: {type: pushbutton, pressed: p}
charts:
  c:
    ready: {initial: true, do: [run], next: {ending: low, halting: p}}
    ending: {do: [run], next: {stopping: ending.T >= T#2s, halting: p}}
    stopping: {next: {ready: us AND NOT low}}
    halting: {next: {starting: us AND NOT p}}
    starting: {do: [run], next: {ready: ua}}
requirements:
"""


def tail_of(most: str, given: str = "no operator act") -> RequirementOutcome:
    text = f"{LINE}  - {{id: R, tail at most: {most}, stopping in: c.stopping, given: {given}}}\n"
    (outcome,) = check_sequence(read_sequence_text(text, "trial.yaml")).requirements
    return outcome


def test_the_longest_tail_is_that_worked_by_hand() -> None:
    outcome = tail_of("6 m")
    assert (outcome.verdict.value, outcome.judged_on) == ("holds", "machine")
    (measure,) = outcome.measures
    assert (measure.quantity, measure.unit, measure.limit) == ("web left on the core", "m", 6.0)
    assert measure.worst == pytest.approx(5.5, abs=1e-9)


def test_it_holds_at_that_length_and_is_violated_a_millimetre_below() -> None:
    assert tail_of("5.5 m").verdict.value == "holds"
    below = tail_of("5.499 m")
    assert below.witness is not None
    assert (below.verdict.value, below.witness.confirmed) == ("violated", True)


def test_after_an_interruption_what_was_used_before_it_does_not_count() -> None:
    """A stop right before the splice: of the run after it 2 s are certain again, so the bound stays where it was."""
    (measure,) = tail_of("6 m", "no operator act but b").measures
    assert measure.worst == pytest.approx(5.5, abs=1e-9)


def test_without_a_roll_or_a_line_speed_the_file_is_refused() -> None:
    text = f"{LINE}  - {{id: R, tail at most: 6 m, stopping in: c.stopping, given: anything}}\n"
    with pytest.raises(SequenceFileError, match="expected a section line, and a roll with a remaining time"):
        read_sequence_text(text.replace("line: {speed: 60 m/min}\n", ""), "trial.yaml")
    other = text.replace("roll: {type: roll, low: low, remaining: 5..8 s, unwind: unwind}", "roll: {type: selector, on: low}")
    with pytest.raises(SequenceFileError, match="expected a device of type roll, found none"):
        read_sequence_text(other, "trial.yaml")
