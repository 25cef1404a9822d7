"""Decurler position over the roll's diameter, and how fast it has to follow."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from seqcheck.web.decurl import DecurlLaw

LAW = DecurlLaw(at_full_mm=12.0, at_core_mm=45.0, outside_m=1.2, core_m=0.076)


def test_ends_are_as_stated_and_beyond_them_it_stays() -> None:
    assert LAW.position_mm(1.2) == pytest.approx(12.0)
    assert LAW.position_mm(0.076) == pytest.approx(45.0)
    assert LAW.position_mm(2.0) == pytest.approx(12.0)
    assert LAW.position_mm(0.0) == pytest.approx(45.0)


def test_half_way_in_curvature_is_half_way_in_position() -> None:
    middle_m = 2 / (1 / 1.2 + 1 / 0.076)
    assert LAW.position_mm(middle_m) == pytest.approx((12.0 + 45.0) / 2)


@given(st.floats(0.08, 1.2))
def test_nowhere_does_it_move_faster_than_at_the_core(diameter_m: float) -> None:
    """By numbers: the position that a roll unwinding at 4 m/s for a short while asks for."""
    caliper_m, speed_m_per_s, step_s = 0.00045, 4.0, 1e-3
    left_m2 = diameter_m**2 - 4 * caliper_m * speed_m_per_s * step_s / 3.141592653589793
    moved_mm = LAW.position_mm(left_m2**0.5) - LAW.position_mm(diameter_m)
    assert (
        0
        <= moved_mm / step_s
        <= LAW.fastest_mm_per_s(caliper_m=caliper_m, speed_m_per_s=speed_m_per_s) * 1.001
    )


def test_the_position_over_time_is_that_of_the_differential_equation() -> None:
    """Outside check: scipy solve_ivp of dD/dt = -2 c v / (pi D), with the law on its solution."""
    caliper_m, speed_m_per_s = 0.00045, 4.0
    solved = solve_ivp(
        lambda _, d: -2 * caliper_m * speed_m_per_s / (3.141592653589793 * d),
        (0.0, 60.0),
        [0.4],
        rtol=1e-10,
        atol=1e-12,
    )
    closed_m = (0.4**2 - 4 * caliper_m * speed_m_per_s * 60.0 / 3.141592653589793) ** 0.5
    assert LAW.position_mm(float(solved.y[0, -1])) == pytest.approx(LAW.position_mm(closed_m), rel=1e-6)
