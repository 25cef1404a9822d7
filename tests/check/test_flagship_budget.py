"""The accumulator of the bundled wipes line, 1 % too small and 1 % larger than the proven worst draw needs.

Nothing here is a number of the file: sizes follow from the proof of the file as it is.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from seqcheck.check.budget import Budget, BudgetOptions, budget_sequence
from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.language.sequence import Accumulator, Sequence
from seqcheck.reader.read import read_sequence

FLAGSHIP = Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml"


@pytest.fixture(scope="module")
def budget() -> Budget:
    """The worst draws of A1, under any one failure."""
    return budget_sequence(read_sequence(FLAGSHIP), BudgetOptions(requirement="A1", parts=()))


def sized(sequence: Sequence, drawn_m: float) -> Sequence:
    """The sequence with a stroke from whose filled level just `drawn_m` can be drawn; the running level holds what it held."""
    store = sequence.machine.accumulator
    assert store is not None
    stroke_m = drawn_m / (store.strands * (store.filled_ratio - store.reserve_ratio))
    kept = (store.running_ratio - store.reserve_ratio) * store.stroke_m / stroke_m
    smaller: Accumulator = replace(store, stroke_m=stroke_m, running_ratio=store.reserve_ratio + kept)
    return replace(sequence, machine=replace(sequence.machine, accumulator=smaller))


def judged(sequence: Sequence) -> RequirementOutcome:
    """The verdict on A1."""
    return check_sequence(sequence, CheckOptions(only=("A1",))).requirements[0]


def worst_m(budget: Budget) -> float:
    """The greatest first draw from the filled level."""
    return max(draw.drawn_m for draw in budget.draws if draw.is_leading and draw.part.level == 0)


def test_the_worst_draw_from_the_filled_level_is_attained_by_its_replay(budget: Budget) -> None:
    leading = [draw for draw in budget.draws if draw.is_leading and draw.part.level == 0]
    assert [draw.attained_m for draw in leading] == [pytest.approx(worst_m(budget), abs=1e-5)]
    assert sum(phase.drawn_m for phase in leading[0].phases) == pytest.approx(worst_m(budget), abs=1e-6)


def test_an_accumulator_1_percent_too_small_is_refuted_by_a_confirmed_run(budget: Budget) -> None:
    found = judged(sized(budget.sequence, worst_m(budget) * 0.99))
    assert found.verdict.value == "violated"
    assert found.witness is not None
    assert found.witness.confirmed


def test_an_accumulator_1_percent_larger_than_needed_holds(budget: Budget) -> None:
    assert judged(sized(budget.sequence, worst_m(budget) * 1.01)).verdict.value == "holds"


def test_a_worst_draw_that_is_a_bound_refutes_nothing() -> None:
    """A2: a start broken off counts as standing. What it brought is drawn by no run, so 1 % less is not decided."""
    flagship = read_sequence(FLAGSHIP)
    bound = budget_sequence(flagship, BudgetOptions(requirement="A2", parts=()))
    [worst] = [draw for draw in bound.draws if draw.drawn_m == worst_m(bound)]
    assert not worst.part.is_whole
    small = sized(flagship, worst_m(bound) * 0.99)
    found = check_sequence(small, CheckOptions(only=("A2",))).requirements[0]
    assert (found.verdict.value, "by bound" in found.reason) == ("undecided", True)
