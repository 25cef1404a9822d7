"""Alarms that are acknowledged, and which of several came first."""

import pytest

from seqcheck import Verdict, check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import to_text
from seqcheck.reader.read import read_sequence_text

FILE = """\
sequence: Alarms
scan: {period: 10 ms, write: 0 ms}
devices:
  button_1: {type: pushbutton, pressed: one_bad}
  button_2: {type: pushbutton, pressed: two_bad}
  reset: {type: pushbutton, pressed: reset_pressed}
  lamp: {type: timed, output: lamp_on, on: 10 ms, off: 10 ms}
alarms:
  one_alarm: {text: one is bad, clear: reset_pressed, acknowledge: RISING(reset_pressed)}
  two_alarm: {text: two is bad, clear: reset_pressed}
first_out: {reset: reset_pressed}
charts:
  one: {good: {initial: true, next: {bad: one_bad}}, bad: {do: [one_alarm], next: {good: NOT one_bad}}}
  two: {fine: {initial: true, next: {broken: two_bad}}, broken: {do: [two_alarm], next: {fine: NOT two_bad}}}
  show:
    dark: {initial: true, next: {lit: one_alarm.unacknowledged}}
    lit: {do: [lamp_on], next: {dark: NOT one_alarm.unacknowledged}}
requirements:
  - {id: R1, never: one_alarm.first AND two_alarm.first}
  - {id: R2, never: one_alarm.first AND two_alarm}
  - {id: R3, no: one_alarm.acknowledged, before: reset_pressed, since: one_alarm}
  - {id: R4, when: one_alarm, then: one_alarm.unacknowledged OR one_alarm.acknowledged, within: 10 ms}
  - {id: R5, when: two_alarm, then: one_alarm.first OR two_alarm.first, within: 10 ms}
"""


def verdicts(text: str) -> dict[str, Verdict]:
    outcome = check_sequence(read_sequence_text(text, "f.yaml"), CheckOptions(traps=False))
    return {judged.requirement.id: judged.verdict for judged in outcome.requirements}


def problems(text: str) -> str:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f.yaml")
    return str(caught.value)


def test_only_one_alarm_is_first_and_none_is_acknowledged_before_somebody_does() -> None:
    found = verdicts(FILE)
    assert found == dict.fromkeys(("R1", "R3", "R4", "R5"), Verdict.HOLDS) | {"R2": Verdict.VIOLATED}


def read_charts() -> dict[str, dict[str, list[str]]]:
    sequence = read_sequence_text(FILE, "f.yaml")
    return {
        chart.name: {step.name: [f"{way.target}: {to_text(way.condition)}" for way in step.transitions] for step in chart.steps}
        for chart in sequence.charts
    }


def test_they_are_charts_after_the_files_own() -> None:
    charts = read_charts()
    assert list(charts) == ["one", "two", "show", "one_alarm_acknowledgement", "first_out"]
    assert charts["one_alarm_acknowledgement"] == {
        "quiet": ["unacknowledged: one_alarm"],
        "unacknowledged": ["acknowledged: RISING(reset_pressed) AND one_alarm", "quiet: RISING(reset_pressed)"],
        "acknowledged": ["quiet: NOT one_alarm"],
    }
    assert charts["first_out"] == {
        "no_alarm_first": ["one_alarm_first: one_alarm", "two_alarm_first: two_alarm"],
        "one_alarm_first": ["no_alarm_first: reset_pressed AND NOT one_alarm"],
        "two_alarm_first": ["no_alarm_first: reset_pressed AND NOT two_alarm"],
    }
    assert charts["show"]["dark"] == ["lit: one_alarm_acknowledgement.unacknowledged.X"]


@pytest.mark.parametrize(
    ("good", "bad", "problem"),
    [
        ("{reset: reset", "{alarms: two_alram, reset: reset", "f.yaml:11:21: expected an alarm, found 'two_alram'"),
        ("{reset: reset_pressed}", "{alarms: [two_alarm]}", "f.yaml:11:12: expected 'reset' in first_out, found nothing"),
        ("{reset: reset_pressed}", "{reset: reset_pressed, only: x}", "a field of first_out (reset, alarms), found 'only'"),
        ("never: one_alarm.first AND", "never: one_alarm.frist AND", "did you mean one_alarm.first?"),
        ("acknowledge: RISING(reset_pressed)", "acknowledge: RISING(reset_presed)", "did you mean reset_pressed?"),
        ("acknowledge: RISING", "acknowlege: RISING", "did you mean acknowledge?"),
        ("lit: one_alarm.unack", "lit: two_alarm.unack", "found 'two_alarm.unacknowledged'"),
    ],
)
def test_what_is_wrong_is_told(good: str, bad: str, problem: str) -> None:
    text = FILE
    assert good in text
    assert problem in problems(text.replace(good, bad, 1))
