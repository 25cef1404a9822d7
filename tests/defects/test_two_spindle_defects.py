"""Every file in two_spindles/ plants one slip into the bundled film line; the requirement that it names alone refutes it.

The files are made for this test: slips as practitioners tell them (common practice, no source). The whole check of a dozen
variants would take minutes. So a slip that shows without failures is held against all that is asked (that asked under any one fault
too) in runs without failures, and one that shows under a failure against all that is asked under a named one; what is asked of the
emergency stop (E1 to E5) and O2 is left out.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.verdict import Verdict

SOUND = Path(__file__).parents[2] / "sequences" / "film_line_two_spindle_splice.yaml"
DEFECTS = sorted(Path(__file__).with_name("two_spindles").glob("*.yaml"))
LEFT_OUT = ("E1", "E2.a", "E2.b", "E3", "E4", "E5", "O2")
NAMED_FAULT = ("O1", "C2", "C4.a", "C4.b", "F1", "F2")
"""What is asked under one named failure."""


def _checked(sequence: Sequence, *, with_failure: bool) -> Outcome:
    """What is asked under one named failure, or everything else without failures."""
    if with_failure:
        return check_sequence(sequence, CheckOptions(only=NAMED_FAULT))
    others = tuple(part.id for part in sequence.requirements if part.id not in (*LEFT_OUT, *NAMED_FAULT))
    return check_sequence(sequence, CheckOptions(only=others, faults=0))


def _refuting(path: Path) -> str:
    """The id in the line `# refuted by: C4` of a defect file; where there is one for each spindle, without the spindle."""
    found = re.findall(r"^# refuted by: (\w+)$", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert len(found) == 1, f"{path.name} must name the one requirement that refutes it"
    return str(found[0])


@pytest.mark.parametrize("with_failure", [False, True])
def test_the_sound_film_line_holds_in_all_that_is_asked_here(*, with_failure: bool) -> None:
    outcome = _checked(read_sequence(SOUND), with_failure=with_failure)
    assert {found.verdict for found in outcome.requirements} == {Verdict.HOLDS}


def test_the_slips_are_many_and_each_is_refuted_by_another_requirement() -> None:
    assert len(DEFECTS) >= 10
    assert len({_refuting(path) for path in DEFECTS}) == len(DEFECTS)


@pytest.mark.parametrize("path", DEFECTS, ids=lambda path: str(path.stem))
def test_a_slip_is_refuted_by_the_requirement_that_should_and_no_other(path: Path) -> None:
    refuting = _refuting(path)
    outcome = _checked(read_sequence(path), with_failure=any(name.startswith(refuting) for name in NAMED_FAULT))
    broken = [found for found in outcome.requirements if found.verdict is not Verdict.HOLDS]
    assert {found.requirement.id.partition(".")[0] for found in broken} == {refuting}
    assert {found.verdict for found in broken} == {Verdict.VIOLATED}
    assert all(found.witness is not None and found.witness.confirmed for found in broken)
