"""The proven worst draw against closed forms, scipy's linear programming and z3, on one stop of the trial sequence.

Closed form: budget = v [v / (2 a_dec) + dwell + v / (2 a_acc)]. Source: check-values 2.4 (computed there; textbook kinematics).
The trial is an acyclic schedule: t0 the stop, t1 standstill, t2 the read that sees both standstill and a dwell timed from t0, at
most a scan period after the later of them, t3 line speed. The draw is v/2 ((t2 - t0) + (t3 - t1)).
"""

from __future__ import annotations

import pytest
import z3
from check.budget_file import TrialTimes, trial
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from seqcheck.check.budget import BudgetOptions, budget_sequence
from seqcheck.check.budget_proof import Proof, prove
from seqcheck.check.options import CheckOptions
from seqcheck.web.stop_draw import StopTimes, draw_of_stop_at_rates_m, highest_line_speed_m_per_s


def proven_us(times: TrialTimes) -> int:
    """The proven worst draw, as twice the time at line speed. The accumulator holds a hundred times as much."""
    proof = prove(trial(times, stroke_m=200), "R", CheckOptions())
    assert isinstance(proof, Proof)
    assert proof.holds
    return proof.levels[0].worst.drawn_us


def by_linprog_us(times: TrialTimes) -> float:
    """The greatest draw of one stop: two linear programs, one for each of the two things the last read may have waited for."""
    (stop_least, stop_most), (start_least, start_most) = times.stop_us, times.start_us
    # Unknown: t1, t2, t3, with t0 = 0. Rows are `row . t <= bound`.
    always = [
        ([1, 0, 0], stop_most),
        ([-1, 0, 0], -stop_least),
        ([1, -1, 0], 0),
        ([0, -1, 0], -times.dwell_us),
        ([0, -1, 1], start_most),
        ([0, 1, -1], -start_least),
    ]
    waits = [([0, 1, 0], times.dwell_us + times.period_us), ([-1, 1, 0], times.period_us)]
    found = []
    for wait in waits:
        rows, bounds = zip(*always, wait, strict=True)
        solved = linprog([1, -1, -1], A_ub=rows, b_ub=bounds, bounds=[(0, None)] * 3)
        found += [-solved.fun] if solved.success else []
    return max(found)


def by_z3_us(times: TrialTimes) -> int:
    """The same by z3, which takes the 'or' as it is."""
    t1, t2, t3 = z3.Ints("t1 t2 t3")
    solver = z3.Optimize()
    solver.add(times.stop_us[0] <= t1, t1 <= times.stop_us[1])
    solver.add(t2 >= t1, t2 >= times.dwell_us)
    solver.add(z3.Or(t2 <= t1 + times.period_us, t2 <= times.dwell_us + times.period_us))
    solver.add(t2 + times.start_us[0] <= t3, t3 <= t2 + times.start_us[1])
    drawn = solver.maximize(t2 + t3 - t1)
    assert solver.check() == z3.sat
    return int(solver.upper(drawn).as_long())


MILLISECONDS = st.integers(1, 3_000)


@st.composite
def trial_times(draw: st.DrawFn) -> TrialTimes:
    """Times in whole milliseconds, wide ranges; the dwell may end before or after standstill."""
    stop, start = (sorted(draw(st.tuples(MILLISECONDS, MILLISECONDS))) for _ in range(2))
    return TrialTimes(
        period_us=draw(st.integers(1, 50)) * 1000,
        stop_us=(stop[0] * 1000, stop[1] * 1000),
        start_us=(start[0] * 1000, start[1] * 1000),
        dwell_us=draw(MILLISECONDS) * 1000,
    )


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(trial_times())
def test_the_proven_draw_is_the_greatest_that_linprog_and_z3_find(times: TrialTimes) -> None:
    proven = proven_us(times)
    assert proven == by_z3_us(times)
    assert proven == pytest.approx(by_linprog_us(times), abs=0.5)


def test_the_worked_accumulator_budget_of_40_m() -> None:
    """v 5 m/s, both ramps at 1 m/s2 and 3 s of dwell: 40.0 m; 10 strands travel 4.0 m; refilled at 10 % in 80 s.

    The read that restarts comes up to a period of 1 ms after the dwell: 5 m/s x 1 ms = 5 mm more.
    """
    closed_m = draw_of_stop_at_rates_m(line_speed_m_per_s=5, deceleration_m_per_s2=1, dwell_s=3, acceleration_m_per_s2=1)
    assert closed_m == pytest.approx(40.0, abs=1e-12)
    times = TrialTimes(period_us=1_000, stop_us=(5_000_000, 5_000_000), start_us=(5_000_000, 5_000_000), dwell_us=8_000_000)
    budget = budget_sequence(trial(times, stroke_m=40, speed_m_per_min=300), BudgetOptions(parts=()))
    [draw] = budget.draws
    assert (draw.drawn_m, draw.is_exact) == (pytest.approx(40.005, abs=1e-9), True)
    assert draw.drawn_m / 10 == pytest.approx(4.0005, abs=1e-9)
    assert budget.refill is not None
    assert budget.refill.to_filled_s == pytest.approx(40.005 / (0.20 * 5), abs=1e-6)


def test_the_highest_line_speed_is_that_of_the_closed_form() -> None:
    """web/stop_draw.py: available / (((t2 - t0) + (t3 - t1)) / 2); the search comes within a thousandth."""
    found = budget_sequence(trial(stroke_m=1.37), BudgetOptions(parts=("limits",))).highest_speed
    times = StopTimes(stop_start_s=0, standstill_s=1, restart_s=1.31, at_speed_s=3.31)
    closed = highest_line_speed_m_per_s(available_m=10 * 1.37 * 0.181, times=times)
    assert found is not None
    assert found.holds_at is not None
    assert found.fails_at is not None
    assert found.holds_at <= closed + 1e-6
    assert closed <= found.fails_at
