"""Rule sets: what they become, and what is said where a file lacks what they need."""

from __future__ import annotations

import pytest
from report.guarded_knife import MACHINE

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict


def ruled(rules: str, machine: str = MACHINE) -> Sequence:
    return read_sequence_text(f"{machine}rules: [{rules}]\n", "ruled.yaml")


def verdicts_of(rules: str, *ids: str, machine: str = MACHINE) -> list[Verdict]:
    """The verdicts on these requirements of the sets."""
    options = CheckOptions(only=ids, traps=False)
    return [part.verdict for part in check_sequence(ruled(rules, machine), options).requirements]


def refusal(rules: str, machine: str = MACHINE) -> str:
    with pytest.raises(SequenceFileError) as error:
        ruled(rules, machine)
    return str(error.value)


@pytest.mark.parametrize(
    ("rules", "ids"),
    [
        ("guard locking", ["G2.hood.knife", "G2.hood.press", "G3.hood.safety"]),
        ("{emergency stop: started}", ["E3.safety.knife_fire", "E3.safety.press_close", "E4.safety"]),
        ("{restart: started}", ["C3.safety", "U3.hood"]),
        ("{stop category: '0'}", ["S0.stop.safety"]),
        ("{stop category: '1'}", ["S1.safety.knife", "S1.safety.press"]),
    ],
)
def test_a_set_becomes_requirements_with_clauses(rules: str, ids: list[str]) -> None:
    requirements = ruled(rules).requirements
    assert [part.id for part in requirements] == ids
    assert all(part.clause and "from memory" in part.clause for part in requirements)


def test_they_are_checked_like_others() -> None:
    """With one contact and one circuit, one failure lets the knife move behind the open hood, and keeps the energy on."""
    found = verdicts_of("guard locking, {stop category: '0'}", "G2.hood.knife", "S0.stop.safety")
    assert found == [Verdict.VIOLATED, Verdict.VIOLATED]


def test_a_knife_that_moves_on_without_air_is_no_stop_of_category_1() -> None:
    """IEC 60204-1 9.2.2: in category 1 power stays until standstill."""
    assert verdicts_of("{stop category: '1'}", "S1.safety.knife") == [Verdict.VIOLATED]


def test_a_start_button_that_is_held_starts_at_the_reset() -> None:
    """ISO 13850 4.1.4: resetting alone must start nothing; with `started` asked for by level, held before the reset, it does."""
    apart = MACHINE.replace("reset: started", "reset: reset_pressed").replace(
        "devices:\n", "devices:\n  reset: {type: pushbutton, pressed: reset_pressed}\n"
    )
    assert verdicts_of("{emergency stop: started}", "E4.safety", machine=apart) == [Verdict.VIOLATED]


def test_a_reset_that_is_the_start_command_is_one() -> None:
    """Where the same press resets and starts, the start is commanded in the very instant of the reset."""
    assert verdicts_of("{emergency stop: started}", "E4.safety") == [Verdict.HOLDS]


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        ("guard lokking", "did you mean guard locking?"),
        ("emergency stop", "with the deliberate start command"),
        ("{guard locking: now}", "takes no value"),
        ("{stop category: '2'}", "0, 1"),
        ("{restart: startd}", "did you mean started?"),
        ("guard locking, guard locking", "already used in"),
    ],
)
def test_what_is_wrong_is_said(rules: str, words: str) -> None:
    assert words in refusal(rules)


def test_what_a_file_lacks_is_said_with_the_place() -> None:
    bare = """\
sequence: Bare
scan: {period: 4..10 ms, write: 0 ms}
devices: {b: {type: pushbutton, pressed: p}}
charts: {c: {idle: {initial: true, next: {on: p}}, on: {next: {idle: NOT p}}}}
"""
    assert "ruled.yaml:5:9: expected a device of type guard" in refusal("guard locking", bare)
    assert "expected a device of type emergency_stop" in refusal("{stop category: '0'}", bare)
    assert "expected a safety circuit or a guard" in refusal("{restart: p}", bare)
