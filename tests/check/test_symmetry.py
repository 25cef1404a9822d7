"""What is proven of one copy is proven of the other where the two are equal, and only there."""

from __future__ import annotations

import pytest
from reader.two_spindles import TWO_SPINDLES

from seqcheck import Verdict, check_sequence
from seqcheck.check.exchange import exchanges
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome
from seqcheck.check.symmetry import is_symmetric, proven_with
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text

MORE = """\
  - {id: R4.<spindle>, when: chuck_<spindle>_close, then: chuck_<spindle>.is_out OR NOT chuck_<spindle>_close, within: 160 ms, under: fault chuck_<spindle>.jams}
  - {id: R5.<spindle>, between: spindle_<spindle>.chucking.X, and: spindle_<spindle>.held.X, at most: 200 ms, given: no operator act but load_<spindle>}
  - {id: R6.<spindle>, interlock: chuck_<spindle>_close, only while: load_<spindle>_pressed, drop within: 30 ms}
  - {id: R7.<spindle>, never: chuck_<spindle>.is_moving AND spindle_<other spindle>.chucking.X AND busy_<spindle>}
"""  # noqa: E501 -- lines of a sequence file
FILE = TWO_SPINDLES + MORE
EVERY = {f"R{number}.b": f"R{number}.a" for number in (1, 2, 4, 5, 6, 7)}


def read(text: str = FILE) -> Sequence:
    return read_sequence_text(text, "f.yaml")


def checked(text: str, *, symmetry: bool) -> Outcome:
    return check_sequence(read(text), CheckOptions(traps=False, symmetry=symmetry))


def images(text: str) -> dict[str, str]:
    sequence = read(text)
    return {image: proven.id for image, (proven, _) in proven_with(sequence, sequence.requirements).items()}


def test_two_spindles_are_equal() -> None:
    sequence = read()
    (exchange,) = exchanges(sequence.copies)
    assert (exchange.parameter, exchange.first, exchange.second) == ("spindle", "a", "b")
    assert is_symmetric(sequence, exchange)
    assert images(FILE) == EVERY


@pytest.fixture(scope="module")
def with_it() -> Outcome:
    return checked(FILE, symmetry=True)


def test_verdicts_and_values_are_those_of_a_proof_of_its_own(with_it: Outcome) -> None:
    without = checked(FILE, symmetry=False)
    assert all(judged.symmetric_to is None for judged in without.requirements)
    for one, other in zip(with_it.requirements, without.requirements, strict=True):
        assert (one.requirement.id, one.verdict) == (other.requirement.id, other.verdict)
        assert [(part.quantity, part.worst, part.best) for part in one.measures] == [
            (part.quantity, part.worst, part.best) for part in other.measures
        ]
        assert (one.untested, one.latent) == (other.untested, other.latent)
    assert {judged.verdict for judged in with_it.requirements} >= {Verdict.HOLDS, Verdict.VIOLATED}


def test_what_holds_says_by_symmetry_with_what_and_what_is_violated_has_a_run_of_its_own(with_it: Outcome) -> None:
    found = {judged.requirement.id: judged for judged in with_it.requirements}
    assert (found["R5.b"].symmetric_to, found["R5.b"].reason) == ("R5.a", "by symmetry with R5.a")
    assert found["R5.a"].symmetric_to is None
    violated = found["R2.b"]
    assert violated.symmetric_to is None
    assert violated.witness is not None
    assert any("chuck_b.jams" in line.what for line in violated.witness.lines)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("flags:", "  chuck_b: {out: 100..160 ms}\nflags:"),
        ("flags:", "  chuck_b: {without: {failures: valve_sticks, because: it is new}}\nflags:"),
        ("requirements:", "  spindle_b: {empty: {do: [busy_b]}}\nrequirements:"),
        ("requirements:", "  spindle_b: {held: {retained: true}}\nrequirements:"),
        ("NOT busy_<other spindle>}}", "NOT busy_a}}"),
    ],
)  # fmt: skip
def test_one_differing_detail_and_they_are_not_equal(old: str, new: str) -> None:
    assert old in FILE
    assert images(FILE.replace(old, new, 1)) == {}


def test_a_detail_that_cannot_matter_to_a_requirement_leaves_its_proof_to_both() -> None:
    """The alarm is part of the second requirement only."""
    old, new = "too late, clear: load_<spindle>_pressed}", "too late, clear: load_a_pressed}"
    assert old in FILE
    assert images(FILE.replace(old, new)) == {image: proven for image, proven in EVERY.items() if image != "R2.b"}
    assert images(FILE.replace("charts:", "first_out: {reset: load_a_pressed}\ncharts:")) == EVERY


def test_charts_that_read_one_anothers_steps_are_not_equal() -> None:
    """The second one in the file sees the step that the first has just taken; the first sees the step before."""
    text = FILE.replace("NOT busy_<other spindle>}}", "NOT spindle_<other spindle>.chucking.X}}")
    assert images(text) == {}


def test_ways_out_of_a_step_in_another_order_are_not_equal() -> None:
    ways = "{initial: true, next: {has_<spindle>: load_<spindle>_pressed}}"
    chart = f"  first: {{none: {ways}, has_<spindle>: {{do: [busy_<spindle>]}}}}\n"
    assert images(FILE.replace("requirements:", f"{chart}requirements:")) == {}


def test_another_threshold_or_hypothesis_is_not_its_image() -> None:
    changed = ("{id: R6.b, drop within: 40 ms}", "{id: R1.b, under: any one fault}", "{id: R4.b, under: fault chuck_a.jams}")
    text = "".join((FILE, *(f"  - {part}\n" for part in changed)))
    assert images(text) == {f"R{number}.b": f"R{number}.a" for number in (2, 5, 7)}


def test_of_three_copies_two_follow_the_first() -> None:
    text = FILE.replace("[a, b]", "[a, b, c]").replace(" AND NOT busy_<other spindle>", "")
    text = "\n".join(line for line in text.splitlines() if "<other" not in line)
    found = images(text)
    assert (found["R1.b"], found["R1.c"]) == ("R1.a", "R1.a")


def test_a_proof_that_serves_for_both_explores_less() -> None:
    only = ("R5.a", "R5.b")
    once, twice = (
        check_sequence(read(), CheckOptions(only=only, traps=False, symmetry=symmetry)).classes for symmetry in (True, False)
    )
    assert once * 2 == twice
