"""Every defect file beside this one plants one slip into `sound_splice.yaml`; the requirement it names alone refutes it.

The files are made for this test: slips as practitioners tell them (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.verdict import Verdict

FOLDER = Path(__file__).parent
SOUND = FOLDER / "sound_splice.yaml"
DEFECTS = sorted(path for path in FOLDER.glob("*.yaml") if path != SOUND)
MOST_CLASSES = 700
"""The sound sequence stays small, so that two dozen variants of it are checked in a minute or two."""


def refuting_requirement(path: Path) -> str:
    """The id in the line `# refuted by: S1` of a defect file."""
    found = re.findall(r"^# refuted by: (\w+)$", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert len(found) == 1, f"{path.name} must name the one requirement that refutes it"
    return str(found[0])


def checked(path: Path) -> Outcome:
    """The whole file checked, in this process, without limits."""
    return check_sequence(read_sequence(path), CheckOptions())


def verdicts(outcome: Outcome) -> Mapping[str, Verdict]:
    """The verdict on each requirement by its id."""
    return {found.requirement.id: found.verdict for found in outcome.requirements}


@pytest.fixture(scope="module")
def sound() -> Outcome:
    """The sequence without a defect, checked."""
    return checked(SOUND)


def test_every_requirement_of_the_sound_sequence_holds_and_is_put_to_the_test(sound: Outcome) -> None:
    assert set(verdicts(sound).values()) == {Verdict.HOLDS}
    assert [found.requirement.id for found in sound.requirements if found.untested or found.latent] == []


def test_the_sound_sequence_has_no_static_finding_no_trap_and_no_loop_without_time(sound: Outcome) -> None:
    assert (sound.findings, sound.traps, sound.time_loops) == ((), (), ())
    assert sound.exit_code(strict=True) == 0


def test_most_requirements_of_the_sound_sequence_are_judged_under_a_failure(sound: Outcome) -> None:
    without = {found.requirement.id for found in sound.requirements if found.hypothesis == "no fault"}
    assert without == {"S2", "S3", "S11", "P4", "P6"}


def test_the_sound_sequence_is_small() -> None:
    [found] = check_sequence(read_sequence(SOUND), CheckOptions(only=("S7",), faults=0)).requirements
    assert found.requirement.given.text == "anything"
    assert found.classes < MOST_CLASSES


def test_the_defects_are_many_and_refuted_by_many_requirements() -> None:
    assert len(DEFECTS) >= 16
    assert len({refuting_requirement(path) for path in DEFECTS}) >= 14


@pytest.mark.parametrize("path", DEFECTS, ids=lambda path: str(path.stem))
def test_a_defect_is_refuted_by_the_requirement_that_should_and_no_other(path: Path, sound: Outcome) -> None:
    refuting = refuting_requirement(path)
    outcome = checked(path)
    expected = dict.fromkeys(verdicts(sound), Verdict.HOLDS) | {refuting: Verdict.VIOLATED}
    assert verdicts(outcome) == expected
    [witness] = [found.witness for found in outcome.requirements if found.witness is not None]
    assert witness.confirmed, witness.reason
    assert outcome.exit_code() == 1
    assert outcome.sequence.requirements == sound.sequence.requirements, (
        "a slip changes nothing that is asked"
    )
