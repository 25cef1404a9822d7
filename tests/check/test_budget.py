"""The accumulator budget of the trial, against numbers worked by hand.

Worst draw 1.81 m at 1 m/s (see tests/requirements/draw_file.py), of 10 * 1.5 m * 18.1 % = 2.715 m: margin 0.905 m.
A microsecond of dwell lies in both durations of v/2 ((t2 - t0) + (t3 - t1)), one of the restart in the second alone.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from check.budget_file import TrialTimes, trial

from seqcheck.check.budget import Budget, BudgetOptions, budget_sequence
from seqcheck.check.budget_duration import durations_of
from seqcheck.check.budget_phase import drawn_until_s
from seqcheck.check.budget_proof import Proof, Refused, prove
from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.errors import UsageError
from seqcheck.web.content_history import SpeedPoint, content_history


@pytest.fixture(scope="module")
def budget() -> Budget:
    """The whole budget of the trial."""
    return budget_sequence(trial())


def test_the_worst_draw_is_exact_and_its_replay_draws_as_much(budget: Budget) -> None:
    [draw] = budget.draws
    assert (draw.quantity, draw.is_exact) == ("web drawn from the filled level until the unwind is back", True)
    assert draw.drawn_m == pytest.approx(1.81, abs=1e-9)
    assert draw.attained_m == draw.drawn_m
    assert draw.run is not None
    assert draw.run.witness.confirmed
    assert draw.margin_m == pytest.approx(0.905, abs=1e-9)


def test_the_phases_add_up_to_the_draw(budget: Budget) -> None:
    [draw] = budget.draws
    assert [(phase.step, phase.begin_us, phase.end_us) for phase in draw.phases] == [
        ("c.stop", 0, 1_310_000),
        ("c.start", 1_310_000, 3_310_000),
    ]
    assert [phase.drawn_m for phase in draw.phases] == pytest.approx([0.81, 1.0], abs=1e-9)


def test_the_highest_line_speed_spends_the_budget(budget: Budget) -> None:
    """2.715 m / 1.81 s = 1.5 m/s, in steps of a thousandth of 1 m/s."""
    assert budget.highest_speed is not None
    assert budget.highest_speed.holds_at == pytest.approx(1.5, abs=1e-9)
    assert budget.highest_speed.fails_at == pytest.approx(1.501, abs=1e-9)


def test_the_smallest_accumulator_just_holds_the_draw(budget: Budget) -> None:
    """1.81 m / (10 * 18.1 %) = 1 m of stroke; 1.81 m / (1.5 m * 18.1 %) = 6.67 strands."""
    assert budget.smallest_stroke_m is not None
    assert budget.smallest_stroke_m.holds_at == pytest.approx(1.0, abs=1e-9)
    assert budget.smallest_stroke_m.fails_at == pytest.approx(0.999, abs=1e-9)
    assert budget.smallest_strands is not None
    assert (budget.smallest_strands.holds_at, budget.smallest_strands.fails_at) == (7, 6)


def test_each_duration_may_grow_until_it_spends_the_margin(budget: Budget) -> None:
    grown = {growth.duration.name: growth.most_us for growth in budget.growths if growth.most_us is not None}
    assert grown == {"unwind.start": 1_810_000, "c: c.stop.T >= T#1300ms": 905_000}
    slopes = {growth.duration.name: growth.slope_m_per_s for growth in budget.growths}
    assert slopes["c: c.stop.T >= T#1300ms"] == pytest.approx(1.0, abs=1e-6)
    assert slopes["scan.period"] == pytest.approx(1.0, abs=1e-6)
    assert slopes["unwind.start"] == pytest.approx(0.5, abs=1e-6)
    assert slopes["line.stop"] == 0


def test_a_growth_that_spends_the_margin_holds_and_a_period_more_is_violated() -> None:
    """With 2 m of stroke 1.81 m are left; the next read that a period of 10 ms can attain is a period later."""
    roomy = trial(stroke_m=2.0)
    [dwell] = [part for part in durations_of(roomy) if "stop.T" in part.name]
    grown = [dwell.longer(roomy, growth_us) for growth_us in (1_810_000, 1_820_000)]
    outcomes = [check_sequence(part).requirements[0] for part in grown]
    assert [outcome.verdict.value for outcome in outcomes] == ["holds", "violated"]
    assert [outcome.measures[0].is_exact for outcome in outcomes] == [True, True]


def test_a_draw_that_no_periodic_scan_attains_is_by_bound() -> None:
    """A dwell of 1.305 s ends between two reads: every 10 ms from the stop on, they see it at 1.31 s; on demand up to 1.315 s."""
    [draw] = budget_sequence(trial(TrialTimes(dwell_us=1_305_000)), BudgetOptions(parts=())).draws
    assert not draw.is_exact
    assert draw.drawn_m == pytest.approx(1.815, abs=1e-9)
    assert draw.attained_m == pytest.approx(1.81, abs=1e-9)


def test_the_margin_falls_with_the_line_speed_as_the_draw_grows(budget: Budget) -> None:
    speed = next(curve for curve in budget.curves if curve.unit == "m/s")
    assert [(point.at, point.margin_m) for point in speed.points] == [
        (pytest.approx(ratio), pytest.approx(2.715 - 1.81 * ratio, abs=1e-5))
        for ratio in (0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4)
    ]


def test_the_curve_over_diameter_says_what_it_lacks(budget: Budget) -> None:
    diameter = next(curve for curve in budget.curves if curve.unit == "m")
    assert diameter.points == ()
    assert "web width" in diameter.missing


def test_ramps_that_keep_their_rates_take_longer_at_a_higher_speed() -> None:
    """At k m/s the ramps take k s and 2 k s, and t2 - t0 is 1.31 s or k + 0.01 s: the draw is k/2 (2 (t2 - t0) + k) <= 2.715 m."""
    found = budget_sequence(trial(), BudgetOptions(parts=("limits",), keeps_rates=True)).highest_speed
    assert found is not None
    assert found.holds_at is not None
    k = found.holds_at
    dwell_s = max(1.31, k + 0.01)
    assert k / 2 * (dwell_s + dwell_s - k + 2 * k) <= 2.715
    above = k + 0.001
    dwell_s = max(1.31, above + 0.01)
    assert above / 2 * (2 * dwell_s + above) > 2.715


def test_after_the_worst_draw_overspeed_refills_it(budget: Budget) -> None:
    """1.81 m at 20 % of 1 m/s; it does not reach down to the running level, 1.965 m below filled."""
    assert budget.refill is not None
    assert budget.refill.to_filled_s == pytest.approx(9.05)
    assert budget.refill.to_running_s == 0


def test_a_file_without_the_requirement_has_no_budget() -> None:
    bare = replace(trial(), requirements=())
    with pytest.raises(UsageError, match="no requirement 'accumulator: never below reserve' or 'take-up: never above filled'"):
        budget_sequence(bare)
    with pytest.raises(UsageError, match="no requirement 'S1'"):
        budget_sequence(trial(), BudgetOptions(requirement="S1"))


def test_an_accumulator_that_is_too_small_has_a_budget_that_does_not_hold() -> None:
    found = budget_sequence(trial(stroke_m=0.9), BudgetOptions(parts=("limits",)))
    assert found.proof.is_broken
    assert found.highest_speed is not None
    assert found.highest_speed.holds_at == pytest.approx(0.9, abs=1e-9)


def test_ctrl_c_keeps_what_was_found() -> None:
    calls = []

    def report(what: str, done: int, total: int, classes: int) -> None:
        calls.append(what)
        if what == "smallest number of strands":
            raise KeyboardInterrupt

    found = budget_sequence(trial(), BudgetOptions(check=CheckOptions(report=report)))
    assert found.stopped == "it was interrupted"
    assert found.highest_speed is not None
    assert found.smallest_stroke_m is not None
    assert (found.smallest_strands, found.curves, found.growths) == (None, (), ())
    assert calls[0] == "highest line speed"


def test_the_same_budget_comes_out_twice() -> None:
    options = BudgetOptions(parts=("limits", "curves"))
    first, second = budget_sequence(trial(), options), budget_sequence(trial(), options)
    assert first == second


def test_a_variant_that_is_no_machine_is_refused_with_a_sentence() -> None:
    sequence = trial()
    unwind = sequence.machine.unwind
    assert unwind is not None
    without = replace(sequence, machine=replace(sequence.machine, unwind=replace(unwind, overspeed_ratio=0.0)))
    found = prove(without, "R", CheckOptions())
    assert isinstance(found, Refused)
    assert "fill_time" in found.because


def test_the_quickest_stop_is_the_worst_while_the_dwell_is_timed() -> None:
    """Until 1.4 s: the quickest stop stays the worst, since t3 - t1 counts from it. Always 1.4 s: 1.41 s + 0.01 s + 2 s."""
    stops = ((1_000_000, 1_000_000), (1_000_000, 1_400_000), (1_400_000, 1_400_000))
    proofs = [prove(trial(TrialTimes(stop_us=stop_us)), "R", CheckOptions()) for stop_us in stops]
    drawn = [proof.levels[0].worst.drawn_us for proof in proofs if isinstance(proof, Proof)]
    assert drawn == [3_620_000, 3_620_000, 3_420_000]


@pytest.mark.parametrize(
    "moments", [(0, 1_000_000, 2_000_000, 3_500_000), (0, 400_000, 400_000, 900_000)], ids=["dwell", "no dwell"]
)
def test_web_drawn_agrees_with_the_content_history(moments: Any) -> None:
    """Against web/content_history.py, which integrates the same two speeds by the trapezoid rule."""
    left, stood, restarted, back = (moment / 1_000_000 for moment in moments)
    infeed = [SpeedPoint(left, 1.0), SpeedPoint(stood, 0.0), SpeedPoint(restarted, 0.0), SpeedPoint(back, 1.0)]
    infeed = list(dict.fromkeys(infeed))
    for tenth in range(11):
        until_s = back * tenth / 10
        history = content_history(0.0, infeed=infeed, outfeed=[SpeedPoint(0.0, 1.0)], from_s=0.0, until_s=until_s)
        assert -history[-1].content_m == pytest.approx(drawn_until_s(until_s * 1_000_000, moments), abs=1e-9)
