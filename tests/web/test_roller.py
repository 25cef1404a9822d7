"""Rollers: acceleration force, bearing drag, wrap traction and dancer."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.web import accumulator, roller


def test_force_to_speed_up_one_roller():
    """Computed from standard mechanics (from memory): J 0.01 kg m2, R 0.05 m, 1 m/s2: 4.0 N."""
    force_n = roller.roller_acceleration_force_n(
        inertia_kg_m2=0.01, radius_m=0.05, web_acceleration_m_per_s2=1.0
    )
    assert force_n == pytest.approx(4.0, rel=1e-12)


@given(st.floats(0.1, 50.0), st.floats(0.01, 0.3), st.floats(-5.0, 5.0))
def test_a_thin_shell_takes_its_mass_times_acceleration(mass, radius, acceleration):
    """Source: standard mechanics (from memory): J = m R^2, so J a / R^2 = m a."""
    force_n = roller.roller_acceleration_force_n(
        inertia_kg_m2=mass * radius**2, radius_m=radius, web_acceleration_m_per_s2=acceleration
    )
    assert force_n == pytest.approx(mass * acceleration, rel=1e-12)


def test_bearing_drag_is_torque_over_radius_and_adds_along_the_path():
    """Source: standard mechanics (from memory); by hand 0.05 N m / 0.05 m + 0.02 N m / 0.04 m."""
    drags = [
        roller.bearing_drag_force_n(drag_torque_n_m=torque, radius_m=radius)
        for torque, radius in ((0.05, 0.05), (0.02, 0.04))
    ]
    assert sum(drags) == pytest.approx(1.5)


def test_wrap_traction_of_half_a_turn():
    """Source: e^(mu theta), convertingblog.com 000054; computed: mu 0.2 over 180 degrees (pi rad): 1.874."""
    ratio = roller.highest_tension_n(low_tension_n=1.0, friction=0.2, wrap_angle_rad=math.pi)
    assert ratio == pytest.approx(1.874, abs=0.0005)


@given(st.floats(0.1, 500.0), st.floats(0.0, 0.8), st.floats(0.0, 6.0))
def test_holding_and_highest_tension_are_inverse(low, friction, angle):
    grip = {"friction": friction, "wrap_angle_rad": angle}
    high = roller.highest_tension_n(low_tension_n=low, **grip)
    assert roller.holding_tension_n(high_tension_n=high, **grip) == pytest.approx(low, rel=1e-12)


@given(st.floats(0.1, 1000.0))
def test_a_half_turn_dancer_puts_half_its_load_on_the_web(load):
    """Source: webhandling.com/tension-questions-04: 180 degrees: web tension is half the dancer load;
    exact."""
    assert roller.dancer_tension_n(load_n=load) == pytest.approx(load / 2, rel=1e-15)


def test_a_quarter_turn_dancer_balances_two_strands_at_right_angles():
    tension_n = roller.dancer_tension_n(load_n=100.0, wrap_angle_rad=math.pi / 2)
    assert tension_n == pytest.approx(100.0 / math.sqrt(2))


@given(st.floats(0.0, 15.0), st.floats(0.0, 15.0))
def test_a_dancer_is_an_accumulator_of_two_strands(entry, leaving):
    speed = roller.dancer_speed_m_per_s(entry_speed_m_per_s=entry, exit_speed_m_per_s=leaving)
    expected = accumulator.carriage_speed_m_per_s(
        strands=2, infeed_speed_m_per_s=entry, outfeed_speed_m_per_s=leaving
    )
    assert speed == expected


@pytest.mark.parametrize(
    "refused",
    [
        lambda: roller.roller_acceleration_force_n(
            inertia_kg_m2=1.0, radius_m=0.0, web_acceleration_m_per_s2=1.0
        ),
        lambda: roller.bearing_drag_force_n(drag_torque_n_m=1.0, radius_m=-1.0),
        lambda: roller.dancer_tension_n(load_n=1.0, wrap_angle_rad=0.0),
    ],
)
def test_what_no_roller_can_be_is_refused(refused):
    with pytest.raises(ValueError, match=r"positive|wrap angle"):
        refused()
