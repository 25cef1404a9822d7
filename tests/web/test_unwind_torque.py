"""Unwind torque: printed brake examples, a pulled and coasting roll, and the balance of torque both ways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.web import unwind_torque
from seqcheck.web.roll import (
    RADIANS_PER_SECOND_PER_RPM,
    Roll,
    angular_speed_rad_per_s,
    roll_inertia_kg_m2,
    surface_speed_m_per_s,
)

# Exact by definition: international yard and pound agreement, standard gravity.
INCH_M, FOOT_M, POUND_KG = 0.0254, 0.3048, 0.45359237
POUND_FORCE_N = POUND_KG * 9.80665
POUND_FOOT_N_M, POUND_INCH_N_M = POUND_FORCE_N * FOOT_M, POUND_FORCE_N * INCH_M

TENSIONS = st.floats(0.0, 500.0)
DIAMETERS = st.floats(0.05, 2.0)
INERTIAS = st.floats(0.001, 500.0)
ACCELERATIONS = st.floats(-20.0, 20.0)


@pytest.mark.parametrize(
    ("tension_lb", "diameter_in", "expected_lb_in"),
    [
        pytest.param(12, 30, 180.0, id="brake calculations, full roll: 15 lb ft"),
        pytest.param(12, 3, 18.0, id="brake calculations, core: 1.5 lb ft"),
        pytest.param(2, 7, 7.0, id="hysteresis brake selection: 7 lb in"),
        pytest.param(4, 5, 10.0, id="brake sizing, mean radius 2.5 in: 10 lb in"),
        pytest.param(6, 6, 18.0, id="brake sizing, trap: the page prints (6 x 4) / 2 = 12 lb in, wrongly"),
    ],
)
def test_brake_torque_of_printed_examples(tension_lb, diameter_in, expected_lb_in):
    """Source: magnetic-brake engineering calculations; hysteresis brake selection; typical brake sizing;
    exact."""
    torque = unwind_torque.brake_torque_n_m(
        tension_n=tension_lb * POUND_FORCE_N, diameter_m=diameter_in * INCH_M
    )
    assert torque / POUND_INCH_N_M == pytest.approx(expected_lb_in, rel=1e-12)


@pytest.mark.parametrize(("diameter_in", "expected_lb"), [(4, 5.0), (6, 3.3)])
def test_tension_range_at_fixed_torque_as_printed(diameter_in, expected_lb):
    """Source: typical brake sizing page: 10 lb in gives 5.0 lb at the 4 in core, 3.3 lb at 6 in; +- 0.05."""
    tension_n = unwind_torque.unwind_tension_n(
        brake_torque_n_m=10 * POUND_INCH_N_M, diameter_m=diameter_in * INCH_M
    )
    assert tension_n / POUND_FORCE_N == pytest.approx(expected_lb, abs=0.05)


@pytest.mark.parametrize(
    ("tension_lb", "speed_ft_per_min", "diameter_in", "expected_w", "tolerance_w"),
    [
        pytest.param(12, 200, 30, 54.0, 0.5, id="brake calculations (page prints 53 and 54)"),
        pytest.param(2, 600, 7, 27.0, 0.5, id="hysteresis brake selection"),
        pytest.param(5, 100, 4, 11.3, 0.05, id="brake sizing, at the core"),
    ],
)
def test_brake_heat_of_printed_examples(tension_lb, speed_ft_per_min, diameter_in, expected_w, tolerance_w):
    """Source: the brake pages named above; the first gives T v / 44.2 in pounds and feet a minute."""
    diameter_m, speed_m_per_s = diameter_in * INCH_M, speed_ft_per_min * FOOT_M / 60
    torque = unwind_torque.brake_torque_n_m(tension_n=tension_lb * POUND_FORCE_N, diameter_m=diameter_m)
    turning = angular_speed_rad_per_s(surface_speed_m_per_s=speed_m_per_s, diameter_m=diameter_m)
    power_w = unwind_torque.brake_power_w(torque_n_m=torque, angular_speed_rad_per_s=turning)
    assert power_w == pytest.approx(expected_w, abs=tolerance_w)


def test_stop_torque_as_printed():
    """Source: magnetic-brake engineering calculations: 1000 lb ft2, 360 rpm, 60 s: 19.5 lb ft, peak 997 W.

    In SI units (computed): 42.14 kg m2 and 26.5 N m.
    """
    inertia = 1000 * POUND_KG * FOOT_M**2
    turning = 360 * RADIANS_PER_SECOND_PER_RPM
    torque = unwind_torque.stopping_torque_n_m(
        inertia_kg_m2=inertia, angular_speed_rad_per_s=turning, duration_s=60.0
    )
    power_w = unwind_torque.brake_power_w(torque_n_m=torque, angular_speed_rad_per_s=turning)
    assert inertia == pytest.approx(42.14, abs=0.005)
    assert torque == pytest.approx(26.5, abs=0.05)
    assert torque / POUND_FOOT_N_M == pytest.approx(19.5, abs=0.05)
    assert power_w == pytest.approx(997.0, abs=2.0)  # the page multiplies its rounded torque


def test_a_roll_pulled_and_then_coasting():
    """Source: textbook exercise quoted at physicsforums.com thread 304336 (inputs); results computed.

    R 0.079 m, J 3.1e-3 kg m2, 2.3 N for 1.3 s, friction 0.13 N m: 16.68 rad/s2, 1.113 m, 1.713 m/s, coasts
    0.443 m.
    """
    roll = {"diameter_m": 0.158, "brake_torque_n_m": 0.13, "inertia_kg_m2": 3.1e-3}
    pulled = unwind_torque.unwind_angular_acceleration_rad_per_s2(tension_n=2.3, **roll)
    coasting = unwind_torque.unwind_angular_acceleration_rad_per_s2(tension_n=0.0, **roll)
    speed = surface_speed_m_per_s(angular_speed_rad_per_s=pulled * 1.3, diameter_m=0.158)
    assert pulled == pytest.approx(16.68, abs=0.005)
    assert 0.079 * pulled * 1.3**2 / 2 == pytest.approx(1.113, abs=0.0005)
    assert speed == pytest.approx(1.713, abs=0.0005)
    assert speed**2 / (2 * 0.079 * -coasting) == pytest.approx(0.443, abs=0.0005)


@given(TENSIONS, DIAMETERS, INERTIAS, ACCELERATIONS)
def test_tension_and_brake_torque_are_inverse(tension, diameter, inertia, acceleration):
    """Source: trade article on open-loop tension control (torque T r and J alpha); identity."""
    roll = {
        "diameter_m": diameter,
        "inertia_kg_m2": inertia,
        "angular_acceleration_rad_per_s2": acceleration,
    }
    torque = unwind_torque.brake_torque_n_m(tension_n=tension, **roll)
    back = unwind_torque.unwind_tension_n(brake_torque_n_m=torque, **roll)
    scale = tension + inertia * abs(acceleration) / diameter
    assert back == pytest.approx(tension, abs=1e-9 * scale + 1e-12)


@given(st.floats(0.0, 50.0), DIAMETERS, INERTIAS, st.floats(0.01, 3.0))
def test_web_pulls_brake_and_inertia_while_the_roll_speeds_up(brake, diameter, inertia, web_acceleration):
    """Source: same article: T r + J alpha while speeding up, alpha = a / r; here the web's own torque is T
    r."""
    alpha = web_acceleration / (diameter / 2)
    tension = unwind_torque.unwind_tension_n(
        brake_torque_n_m=brake,
        diameter_m=diameter,
        inertia_kg_m2=inertia,
        angular_acceleration_rad_per_s2=alpha,
    )
    assert tension * diameter / 2 == pytest.approx(brake + inertia * alpha, rel=1e-12)


def test_a_stop_needs_more_brake_and_a_restart_less():
    """By hand: 60 N at 1 m, J 10 kg m2, +- 2 rad/s2: 30 N m +- 20 N m; a hard restart needs a motor
    (negative)."""
    roll = {"tension_n": 60.0, "diameter_m": 1.0, "inertia_kg_m2": 10.0}
    torques = [
        unwind_torque.brake_torque_n_m(**roll, angular_acceleration_rad_per_s2=alpha)
        for alpha in (-2.0, 2.0, 4.0)
    ]
    assert torques == pytest.approx([50.0, 10.0, -10.0])


def test_brake_and_tension_along_a_roll_agree_at_every_diameter():
    """The torque that keeps 60 N, applied again, gives 60 N back; the full roll needs most in a stop."""
    roll = Roll(core_diameter_m=0.076, caliper_m=0.45e-3, width_m=0.42, grammage_kg_per_m2=0.055)
    stop = {"web_speed_m_per_s": 4.0, "web_acceleration_m_per_s2": -4.0}
    diameters = (0.1, 0.4, 0.8, 1.2)
    needed = unwind_torque.brake_along_roll(roll, diameters_m=diameters, tension_n=60.0, **stop)
    assert [point.diameter_m for point in needed] == list(diameters)
    assert needed[-1].inertia_kg_m2 == roll_inertia_kg_m2(roll, 1.2)
    assert max(needed, key=lambda point: point.brake_torque_n_m).diameter_m == 1.2
    for point in needed:
        (back,) = unwind_torque.tension_along_roll(
            roll, diameters_m=[point.diameter_m], brake_torque_n_m=point.brake_torque_n_m, **stop
        )
        assert back.tension_n == pytest.approx(60.0, rel=1e-9)


def test_full_roll_of_the_design_example_by_hand():
    """D 1.2 m, d 76 mm, 420 mm, 55 g/m2 over 0.45 mm: density 122.2 kg/m3; stop from 4 m/s at 4 m/s2.

    m = 122.22 x 0.42 x pi/4 x (1.44 - 0.005776) = 57.82 kg; J = m (1.44 + 0.005776) / 8 = 10.450 kg m2;
    alpha = -4 / 0.6 + 0.45e-3 x 16 / (2 pi 0.216) = -6.6614; M = 36 + 10.450 x 6.6614 = 105.61 N m.
    """
    roll = Roll(core_diameter_m=0.076, caliper_m=0.45e-3, width_m=0.42, grammage_kg_per_m2=0.055)
    (point,) = unwind_torque.brake_along_roll(
        roll, diameters_m=[1.2], tension_n=60.0, web_speed_m_per_s=4.0, web_acceleration_m_per_s2=-4.0
    )
    assert point.inertia_kg_m2 == pytest.approx(10.450, abs=0.001)
    assert point.brake_torque_n_m == pytest.approx(105.61, abs=0.01)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: unwind_torque.unwind_tension_n(brake_torque_n_m=1.0, diameter_m=0.0),
        lambda: unwind_torque.stopping_torque_n_m(
            inertia_kg_m2=1.0, angular_speed_rad_per_s=1.0, duration_s=0.0
        ),
        lambda: unwind_torque.unwind_angular_acceleration_rad_per_s2(
            tension_n=1.0, diameter_m=1.0, brake_torque_n_m=0.0, inertia_kg_m2=math.nan
        ),
    ],
)
def test_what_no_unwind_can_be_is_refused(refused):
    with pytest.raises(ValueError, match="must be positive"):
        refused()
