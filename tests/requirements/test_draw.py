"""The worst web drawn from the accumulator, against the closed form worked by hand (see draw_file.py)."""

from __future__ import annotations

import pytest
from requirements.draw_file import draw_outcome


def test_the_worst_draw_is_that_of_the_closed_form() -> None:
    outcome = draw_outcome("2")
    assert outcome.verdict.value == "holds"
    (measure,) = outcome.measures
    assert measure.quantity == "web drawn from the filled level until the unwind is back"
    assert (measure.unit, measure.is_exact) == ("m", True)
    assert measure.worst == pytest.approx(1.81, abs=1e-9)
    assert measure.limit == pytest.approx(3.62, abs=1e-9)


def test_an_accumulator_1_percent_larger_than_the_worst_draw_holds() -> None:
    assert draw_outcome("1.01").verdict.value == "holds"


def test_an_accumulator_1_percent_smaller_is_violated_by_a_confirmed_run() -> None:
    outcome = draw_outcome("0.99")
    assert outcome.witness is not None
    assert (outcome.verdict.value, outcome.witness.confirmed) == ("violated", True)


def test_a_level_switch_stuck_on_lets_a_stop_begin_at_the_running_level() -> None:
    """There are 10 * 1.01 m * (15 % - 10 %) = 0.505 m at the running level, and one splice takes 1.81 m."""
    outcome = draw_outcome("1.01", "under: fault store.filled_signal_stuck_on")
    assert outcome.verdict.value == "violated"
    running = [part for part in outcome.measures if part.quantity == "web drawn from the running level until the unwind is back"]
    assert running[0].worst == pytest.approx(1.81, abs=1e-9)
    assert running[0].limit == pytest.approx(0.505, abs=2e-6)


def test_without_any_stop_the_reserve_is_never_put_to_the_test() -> None:
    assert draw_outcome("1", "given: no operator act").verdict.value == "vacuous"
