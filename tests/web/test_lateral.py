"""Lateral position over a span: closed forms against the law, by scipy, and the bound for a web that is no longer guided."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from seqcheck.web.lateral import (
    lateral_after_travel_mm,
    lateral_along_travel_mm,
    lateral_rate_mm_per_s,
    unguided_offset_mm,
)


def test_after_one_span_the_rest_of_a_step_is_one_part_in_e() -> None:
    """Closed form by hand: 10 mm step, 1.5 m of web through a span of 1.5 m: 10 (1 - 1/e) = 6.321 mm."""
    found = lateral_after_travel_mm(entering_mm=10.0, position_mm=0.0, travel_m=1.5, span_m=1.5)
    assert found == pytest.approx(6.32121, abs=1e-5)


def test_at_standstill_nothing_moves() -> None:
    assert lateral_rate_mm_per_s(entering_mm=10.0, position_mm=2.0, speed_m_per_s=0.0, span_m=1.5) == 0.0
    assert lateral_after_travel_mm(entering_mm=10.0, position_mm=2.0, travel_m=0.0, span_m=1.5) == 2.0


def test_a_steady_slope_is_followed_one_span_behind() -> None:
    found = lateral_along_travel_mm(
        entering_mm=0.0, slope_mm_per_m=2.0, position_mm=0.0, travel_m=60.0, span_m=1.5
    )
    assert found == pytest.approx(2.0 * (60.0 - 1.5), rel=1e-12)


@pytest.mark.parametrize("slope_mm_per_m", [0.0, 1.7, -3.0])
def test_closed_forms_are_the_law_solved_by_scipy_through_a_ramp(slope_mm_per_m: float) -> None:
    """Outside check: scipy solve_ivp of the first-order law in time, the web slowing from 4 m/s to standstill in 1.1 s."""
    span_m, start_mm, stop_s, speed = 1.5, -2.0, 1.1, 4.0

    def travel_m(time_s: float) -> float:
        return speed * time_s - speed / stop_s * time_s**2 / 2

    def rate(time_s: float, position: list[float]) -> list[float]:
        entering_mm = 3.0 + slope_mm_per_m * travel_m(time_s)
        now = speed * (1 - time_s / stop_s)
        return [
            lateral_rate_mm_per_s(
                entering_mm=entering_mm, position_mm=position[0], speed_m_per_s=now, span_m=span_m
            )
        ]

    solved = solve_ivp(rate, (0.0, stop_s), [start_mm], rtol=1e-10, atol=1e-12)
    closed = lateral_along_travel_mm(
        entering_mm=3.0,
        slope_mm_per_m=slope_mm_per_m,
        position_mm=start_mm,
        travel_m=travel_m(stop_s),
        span_m=span_m,
    )
    assert float(solved.y[0, -1]) == pytest.approx(closed, abs=1e-8)
    if slope_mm_per_m == 0.0:
        step = lateral_after_travel_mm(
            entering_mm=3.0, position_mm=start_mm, travel_m=travel_m(stop_s), span_m=span_m
        )
        assert closed == pytest.approx(step, rel=1e-12)


@given(
    st.floats(0, 5), st.lists(st.floats(-1, 1), min_size=1, max_size=6), st.floats(-1, 1), st.floats(0.01, 3)
)
def test_no_web_gets_farther_off_than_the_bound(
    weave_mm: float, inputs: list[float], accuracy: float, piece_m: float
) -> None:
    """The guide stands for some web within the weave; any other web within the weave comes, piece by piece."""
    span_m, position, guide_mm = 1.5, accuracy * 0.5, inputs[0] * weave_mm
    for part in inputs:
        entering_mm = part * weave_mm - guide_mm + accuracy * 0.5
        position = lateral_after_travel_mm(
            entering_mm=entering_mm, position_mm=position, travel_m=piece_m, span_m=span_m
        )
    bound = unguided_offset_mm(
        accuracy_mm=0.5, weave_mm=weave_mm, travel_m=piece_m * len(inputs), span_m=span_m
    )
    assert abs(position) <= bound + 1e-9


def test_the_bound_grows_from_the_accuracy_to_twice_the_weave_more() -> None:
    assert unguided_offset_mm(accuracy_mm=0.5, weave_mm=4.0, travel_m=0.0, span_m=1.5) == 0.5
    assert unguided_offset_mm(accuracy_mm=0.5, weave_mm=4.0, travel_m=math.inf, span_m=1.5) == 8.5
