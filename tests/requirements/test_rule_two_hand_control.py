"""The rules for a two-hand control: type III, its output alone starts, and both hands let go before the next start."""

import pytest

from seqcheck import Verdict, check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

FILE = """\
sequence: Two hands
scan: {period: 10 ms, write: 0 ms}
devices:
  press: {type: timed, output: press_close, on: 10..20 ms, off: 10..20 ms, hazard: crush}
  hands: {type: two_hand_control, on: both_hands, kind: III}
charts:
  c:
    open: {initial: true, next: {closing: both_hands}}
    closing: {do: [press_close], next: {open: NOT both_hands}}
rules: [{two-hand control: press_close}]
"""


def verdicts(text: str) -> dict[str, Verdict]:
    outcome = check_sequence(read_sequence_text(text, "f.yaml"), CheckOptions(traps=False))
    return {judged.requirement.id: judged.verdict for judged in outcome.requirements}


def problems(text: str) -> str:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f.yaml")
    return str(caught.value)


def test_a_press_under_its_two_hand_control_obeys_them() -> None:
    assert verdicts(FILE) == {"T1.hands.press_close": Verdict.HOLDS, "T2.hands.press_close": Verdict.HOLDS}


def test_a_press_that_starts_by_itself_breaks_both() -> None:
    text = FILE.replace("{open: NOT both_hands}}", "{again: NOT both_hands}}\n    again: {next: {closing: c.again.T >= T#30ms}}")
    assert verdicts(text) == {"T1.hands.press_close": Verdict.VIOLATED, "T2.hands.press_close": Verdict.VIOLATED}


def test_a_lower_type_is_not_enough() -> None:
    assert "expected 'kind: III' of hands" in problems(FILE.replace("kind: III", "kind: II"))


def test_the_rule_asks_for_one_output_and_a_control() -> None:
    assert "the name of one output" in problems(FILE.replace("control: press_close", "control: press_close OR both_hands"))
    button = FILE.replace("type: two_hand_control, on: both_hands, kind: III", "type: pushbutton, pressed: both_hands")
    assert "a device of type two_hand_control" in problems(button)
