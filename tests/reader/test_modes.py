"""Modes of operation: requirements that hold in some of them, and changes of mode that start nothing."""

import pytest
from reader.mode_file import MODES

from seqcheck import Verdict, check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import Expression, to_text
from seqcheck.reader.read import read_sequence_text


def problems(text: str) -> list[str]:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f.yaml")
    return str(caught.value).splitlines()


def condition(text: str, requirement: str, field: str) -> str:
    sequence = read_sequence_text(MODES + text, "f.yaml")
    value = next(part for part in sequence.requirements if part.id == requirement).value(field, object)
    assert isinstance(value, Expression)
    return to_text(value)


def verdicts(text: str) -> dict[str, Verdict]:
    outcome = check_sequence(read_sequence_text(text, "f.yaml"), CheckOptions(traps=False))
    return {judged.requirement.id: judged.verdict for judged in outcome.requirements}


def test_each_kind_is_narrowed_by_its_own_condition() -> None:
    more = """\
  - {id: N, never: knife_run AND NOT hood_closed, in mode: jog}
  - {id: A, always: hood_closed OR NOT knife_run, in mode: jog}
  - {id: I, interlock: knife_run, only while: hood_closed AND start_pressed, in mode: jog}
  - {id: W, when: hood.is_open, then: NOT knife_run, within: 60 ms, until: start_pressed, in mode: jog}
  - {id: U, when: hood.is_open, then: NOT knife_run, within: 60 ms, in mode: jog}
"""
    jog = "in_jog AND NOT in_automatic"
    assert condition(more, "N", "never") == f"({jog}) AND knife_run AND NOT hood_closed"
    assert condition(more, "A", "always") == f"NOT ({jog}) OR hood_closed OR NOT knife_run"
    assert condition(more, "I", "only while") == f"(NOT ({jog}) OR hood_closed) AND (NOT ({jog}) OR start_pressed)"
    assert condition(more, "W", "when") == f"({jog}) AND hood.is_open"
    assert condition(more, "W", "until") == f"NOT ({jog}) OR start_pressed"
    assert condition(more, "U", "until") == f"NOT ({jog})"


def test_several_modes_are_alternatives_and_the_sentence_names_them() -> None:
    sequence = read_sequence_text(MODES.replace("in mode: [jog]", "in mode: [jog, automatic]"), "f.yaml")
    assert sequence.requirements[2].text == "never knife_run AND c.runs.X, in mode jog or automatic"
    assert [mode.name for mode in sequence.modes] == ["automatic", "jog"]


def test_a_requirement_holds_in_its_mode_and_would_not_in_all() -> None:
    found = verdicts(MODES)
    assert found == dict.fromkeys(("R1", "R2", "R3", "M1.knife_run"), Verdict.HOLDS)
    everywhere = MODES.replace(", in mode: automatic", "").replace(", in mode: jog", "")
    assert {verdicts(everywhere)[name] for name in ("R1", "R2")} == {Verdict.VIOLATED}


def test_a_mode_that_starts_by_itself_breaks_the_rule() -> None:
    """Held before the change, it runs right after it."""
    text = MODES.replace("RISING(jog_held)", "jog_held")
    assert verdicts(text)["M1.knife_run"] is Verdict.VIOLATED


@pytest.mark.parametrize(
    ("good", "bad", "problem"),
    [
        ("in mode: [jog]", "in mode: [jig]", "expected a mode of this file, found 'jig'; did you mean jog?"),
        ("modes:\n", "moods:\n", "expected a section of a sequence file, found 'moods'; did you mean modes?"),
        ("  jog: in_jog AND", "  jog: in_jig AND", "did you mean in_jog?"),
        (
            "never: knife_run AND c.runs.X, in",
            "no: knife_run, before: hood_closed, in",
            "in a requirement of kind never, always, interlock, reaction",
        ),
    ],
)
def test_a_mode_that_is_wrong(good: str, bad: str, problem: str) -> None:
    assert good in MODES
    assert any(problem in text for text in problems(MODES.replace(good, bad)))


def test_the_rule_needs_modes() -> None:
    head, tail = MODES.split("modes:\n")
    rest = tail[tail.index("charts:") : tail.index("requirements:")]
    assert "f.yaml:16:10: expected a section 'modes', which the rules 'mode change' need, found nothing" in problems(head + rest)
