"""Drawn runs beside proofs: what they refute is refuted by the proof too, and what was found can be run again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from seqcheck.check.agreement import compared
from seqcheck.check.check import check_sequence
from seqcheck.check.check_both import check_both
from seqcheck.check.options import CheckOptions
from seqcheck.check.property_outcome import PropertyTests
from seqcheck.check.property_outcome import Tested as SeenInRuns
from seqcheck.check.property_test import property_tests
from seqcheck.check.watched_runs import refutes, watched_scenario
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.verdict import Verdict
from seqcheck.simulate.scenario import Scenario
from seqcheck.simulate.scenario_file import read_scenario
from seqcheck.simulate.scenario_run import run_scenario
from seqcheck.simulate.scenario_text import scenario_text

TESTS = Path(__file__).parents[1]
CLAMP = TESTS / "plugin" / "clamp.yaml"
DEFECTS = sorted(path for path in (TESTS / "defects").glob("*.yaml") if path.stem != "sound_splice")


def drawn(path: Path, examples: int, seed: int = 0) -> PropertyTests:
    """Drawn runs for all requirements of a file."""
    sequence = read_sequence(path)
    return property_tests(sequence, sequence.requirements, None, examples, seed)


def broken_by(path: Path, scenario: Scenario, folder: Path) -> set[str]:
    """The requirements that a scenario breaks, written to a file, read back and run with every read compared."""
    file = folder / "scenario.yaml"
    file.write_text(scenario_text(scenario, str(path)), encoding="utf-8")
    sequence = read_sequence(path)
    watching = watched_scenario(sequence, scenario.requirements)
    read = read_scenario(file, sequence, watching.network)
    assert read == scenario
    run = run_scenario(watching.network, read, sequence)
    assert not run.note
    return {
        watching.owners[item.monitor]
        for item in run.noticed
        if refutes(item, watching.monitors[item.monitor])
    }


def test_a_drawn_run_breaks_what_the_proof_refutes_and_shrinks_to_two_acts_at_round_times(
    tmp_path: Path,
) -> None:
    tests = drawn(CLAMP, 60)
    found = {
        tested.requirement: tested.refutation for tested in tests.tested if tested.refutation is not None
    }
    assert set(found) == {"R2"}
    witness = found["R2"].witness
    assert (witness.confirmed, witness.faults, witness.acts) == (True, 0, 2)
    acts = [line.time_us for line in witness.lines if line.is_act]
    assert all(time_us % 10_000 == 0 for time_us in acts), acts
    assert broken_by(CLAMP, found["R2"].scenario, tmp_path) == {"R2"}


def test_the_same_seed_draws_the_same_and_another_one_others() -> None:
    assert drawn(CLAMP, 30) == drawn(CLAMP, 30)
    assert drawn(CLAMP, 30) != drawn(CLAMP, 30, seed=1)


def test_no_run_is_drawn_where_none_is_asked_for() -> None:
    assert check_both(read_sequence(CLAMP), CheckOptions(), 0, 0).tests is None


def test_proof_and_drawn_runs_agree_on_the_sound_sequence() -> None:
    checked = check_both(read_sequence(TESTS / "defects" / "sound_splice.yaml"), CheckOptions(), 60, 0)
    assert checked.tests is not None
    assert checked.tests.disagreements == ()
    assert all(tested.refutation is None for tested in checked.tests.tested)
    assert {judged.verdict for judged in checked.outcome.requirements} == {Verdict.HOLDS}


@pytest.mark.parametrize("name", ["hood_not_in_circuit", "clamp_switch_trusted"])
def test_the_witness_of_a_proof_can_be_run_again_from_its_file(name: str, tmp_path: Path) -> None:
    path = TESTS / "defects" / f"{name}.yaml"
    [judged] = [part for part in check_sequence(read_sequence(path)).requirements if part.witness is not None]
    assert judged.witness is not None
    assert judged.witness.scenario is not None
    scenario = replace(judged.witness.scenario, requirements=(judged.requirement.id,))
    assert broken_by(path, scenario, tmp_path) == {judged.requirement.id}


def test_a_refuted_proof_is_a_defect_of_ours_and_undecided() -> None:
    """A proof that says the contrary of a drawn run, as a wrong explorer would give it."""
    outcome = check_sequence(read_sequence(CLAMP))
    wrong = replace(
        outcome,
        requirements=tuple(
            replace(part, verdict=Verdict.HOLDS, witness=None) for part in outcome.requirements
        ),
    )
    checked = compared(wrong, drawn(CLAMP, 60))
    assert checked.tests is not None
    [found] = checked.tests.disagreements
    assert found.requirement == "R2"
    assert found.scenario is not None
    assert "a drawn run breaks it" in found.text
    assert [part.verdict for part in checked.outcome.requirements][1] is Verdict.UNDECIDED
    assert checked.outcome.exit_code() == 3


def test_a_run_that_takes_longer_than_proved_is_a_defect_of_ours() -> None:
    outcome = check_sequence(read_sequence(CLAMP), CheckOptions(only=("R3",)))
    [judged] = outcome.requirements
    worst_us = round(judged.measures[0].worst)
    for beyond, expected in ((0, 0), (1, 1)):
        tested = SeenInRuns(requirement="R3", watched=1, tested=1, worst_us=worst_us + beyond)
        tests = PropertyTests(examples=1, seed=0, runs=1, shrinking=0, tested=(tested,))
        result = compared(outcome, tests).tests
        assert result is not None
        assert len(result.disagreements) == expected
