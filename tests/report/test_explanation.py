"""Explanations: the sentences say what was asked and found, and a run is told in words."""

from dataclasses import replace
from pathlib import Path

import pytest
from report.guarded_knife import MACHINE, REQUIREMENTS, outcome

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.cli.main import run
from seqcheck.report.explanation import Explanation, explanation_of, tightened


def judged(identity: str) -> RequirementOutcome:
    return next(part for part in outcome().requirements if part.requirement.id == identity)


def explained(identity: str) -> Explanation:
    part = judged(identity)
    wanted = tightened(part)
    longest = None
    if wanted is not None:
        longest = check_sequence(replace(outcome().sequence, requirements=(wanted,))).requirements[0]
    return explanation_of(outcome(), part, longest)


def test_a_violation_is_told_as_a_run() -> None:
    found = explained("S1")
    assert found.asked[0] == "Knife still behind the open hood"
    assert found.found[0].startswith("It is violated")
    assert found.run_title == "A run that breaks it"
    assert any("FAILURE" in line for line in found.run)
    assert any("hood opens" in line for line in found.run)


def test_a_worst_time_is_told_with_the_run_that_takes_longest() -> None:
    found = explained("T1")
    assert found.found == (
        f"It holds: every run that the model allows was covered ({judged('T1').classes} classes of states), and none breaks it.",
        "Worst value of 'reaction': 15 ms; allowed 20 ms, left 5 ms.",
    )
    assert found.run_title.startswith("A run that takes longest")
    assert found.run[-1].startswith("At 15 ms") or "limit" in found.run[-1]


def test_an_interlock_is_explained_from_its_chart() -> None:
    sentences = " ".join(explained("S2").why)
    assert "knife_fire is on in step cut.cutting." in sentences
    assert "of the permissives it asks for safety_ok, press_home itself" in sentences
    assert "to faulted when NOT safety_ok OR late" in sentences


def test_what_was_left_out_is_said() -> None:
    assert any("lock_does_not_hold, because form-locked" in line for line in explained("T1").assumed)


def test_nothing_is_tightened_where_there_is_no_time() -> None:
    assert tightened(judged("S2")) is None
    assert tightened(judged("S1")) is None


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "knife.yaml"
    file.write_text(MACHINE + REQUIREMENTS, encoding="utf-8")
    assert run(["explain", str(file), "S1"]) == 1
    assert "S1: what was asked" in capsys.readouterr().out
    assert run(["explain", str(file), "S9"]) == 2
    assert "has no requirement 'S9'" in capsys.readouterr().err
