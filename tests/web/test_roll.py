"""Roll: printed examples, and identities between length, diameter, mass, inertia and turns."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.web import roll

INCH_M, FOOT_M = 0.0254, 0.3048  # exact, international yard and pound agreement
MINUTE_S = 60.0

CORES_M = st.floats(0.02, 0.5)
BUILD_UPS_M = st.floats(0.001, 2.0)
CALIPERS_M = st.floats(5e-6, 5e-3)


def test_wound_length_of_a_printed_roll():
    """Source: a public roll length calculator (calculator.academy/roll-length-calculator), 1499.39 in +-
    0.01."""
    length_m = roll.wound_length_m(
        outside_diameter_m=5 * INCH_M, core_diameter_m=2 * INCH_M, caliper_m=0.011 * INCH_M
    )
    assert length_m / INCH_M == pytest.approx(1499.39, abs=0.01)


@given(CORES_M, BUILD_UPS_M, CALIPERS_M)
def test_layers_times_mean_turn_is_the_length(core, build_up, caliper):
    """Source: Dr Math 67031 (mathforum.org): layers (Do - Di) / (2 t), mean turn pi (Do + Di) / 2; exact."""
    sizes = {"outside_diameter_m": core + build_up, "core_diameter_m": core, "caliper_m": caliper}
    mean_turn_m = math.pi * (core + build_up + core) / 2
    assert roll.layers(**sizes) * mean_turn_m == pytest.approx(roll.wound_length_m(**sizes), rel=1e-12)


@given(CORES_M, BUILD_UPS_M, CALIPERS_M)
def test_caliper_is_found_again_from_a_roll_of_known_length(core, build_up, caliper):
    """Source: Dr Math 67031 (mathforum.org): back-calculate the caliper from a roll of known length."""
    ring = {"outside_diameter_m": core + build_up, "core_diameter_m": core}
    length_m = roll.wound_length_m(**ring, caliper_m=caliper)
    assert roll.caliper_from_length_m(**ring, length_m=length_m) == pytest.approx(caliper, rel=1e-12)


def test_mass_and_inertia_of_a_printed_solid_roll():
    """Source: trade article on open-loop tension control: 300 mm solid, 1 m, 800 kg/m3: 56.5 kg +- 0.1.

    The inertia 0.636 kg m2 +- 0.001 is computed from the J = m r^2 / 2 printed there.
    """
    mass_kg = roll.cylinder_mass_kg(
        outside_diameter_m=0.3, inside_diameter_m=0.0, width_m=1.0, density_kg_per_m3=800.0
    )
    inertia = roll.cylinder_inertia_kg_m2(mass_kg=mass_kg, outside_diameter_m=0.3, inside_diameter_m=0.0)
    assert mass_kg == pytest.approx(56.5, abs=0.1)
    assert inertia == pytest.approx(0.636, abs=0.001)


@pytest.mark.parametrize(("diameter_m", "expected_rpm"), [(0.140, 227.0), (0.142, 224.0)])
def test_speed_of_a_printed_paper_winder(diameter_m, expected_rpm):
    """Source: trade article on paper winding: core 140 mm at 100 m/min 227 rpm, next wrap 224 rpm; +- 0.5."""
    speed_m_per_s = 100 / MINUTE_S
    rpm = roll.rotational_speed_rpm(surface_speed_m_per_s=speed_m_per_s, diameter_m=diameter_m)
    assert rpm == pytest.approx(expected_rpm, abs=0.5)


@pytest.mark.parametrize(
    ("speed_ft_per_min", "diameter_in", "expected_rpm"),
    [
        pytest.param(200, 30, 25.46, id="brake calculations, full roll (page rounds to 25)"),
        pytest.param(200, 3, 254.65, id="brake calculations, core (page rounds to 255)"),
        pytest.param(600, 7, 327.0, id="hysteresis brake selection, slip speed"),
    ],
)
def test_speed_of_printed_brake_examples(speed_ft_per_min, diameter_in, expected_rpm):
    """Source: magnetic-brake engineering calculations; hysteresis brake selection page; +- 0.5 rpm."""
    speed_m_per_s = speed_ft_per_min * FOOT_M / MINUTE_S
    rpm = roll.rotational_speed_rpm(surface_speed_m_per_s=speed_m_per_s, diameter_m=diameter_in * INCH_M)
    assert rpm == pytest.approx(expected_rpm, abs=0.5)


@given(CORES_M, BUILD_UPS_M, st.floats(0.05, 5.0), st.floats(1.01, 10.0))
def test_inertia_follows_the_winder_law(core, build_up, width, factor):
    """Source: a drive manual, winder block 4.77, p. 4-132: WK2 proportional to w (D^4 - d^4); ratio test,
    exact."""
    outside = core + build_up

    def inertia(outside_m, core_m, width_m):
        sizes = {"outside_diameter_m": outside_m, "inside_diameter_m": core_m}
        mass_kg = roll.cylinder_mass_kg(**sizes, width_m=width_m, density_kg_per_m3=700.0)
        return roll.cylinder_inertia_kg_m2(mass_kg=mass_kg, **sizes)

    larger = inertia(factor * outside, core, 2 * width)
    expected = 2 * ((factor * outside) ** 4 - core**4) / (outside**4 - core**4)
    assert larger / inertia(outside, core, width) == pytest.approx(expected, rel=1e-6)


@given(CORES_M, BUILD_UPS_M, CALIPERS_M)
def test_diameter_and_length_are_inverse(core, build_up, caliper):
    length_m = roll.wound_length_m(
        outside_diameter_m=core + build_up, core_diameter_m=core, caliper_m=caliper
    )
    found = roll.diameter_from_length_m(remaining_length_m=length_m, core_diameter_m=core, caliper_m=caliper)
    assert found == pytest.approx(core + build_up, rel=1e-12)


@given(CORES_M, BUILD_UPS_M, CALIPERS_M, st.floats(0.0, 1.0))
def test_unwinding_takes_off_what_the_roll_then_lacks(core, build_up, caliper, part):
    full_m = roll.wound_length_m(outside_diameter_m=core + build_up, core_diameter_m=core, caliper_m=caliper)
    left_diameter = roll.diameter_after_unwinding_m(
        diameter_m=core + build_up, unwound_length_m=part * full_m, caliper_m=caliper
    )
    left = roll.diameter_from_length_m(
        remaining_length_m=(1 - part) * full_m, core_diameter_m=core, caliper_m=caliper
    )
    assert left_diameter == pytest.approx(left, rel=1e-9)


@given(CORES_M, BUILD_UPS_M, CALIPERS_M)
def test_turns_to_empty_a_roll_are_its_layers(core, build_up, caliper):
    sizes = {"outside_diameter_m": core + build_up, "core_diameter_m": core, "caliper_m": caliper}
    turns = roll.revolutions_for_length(
        diameter_m=core + build_up, unwound_length_m=roll.wound_length_m(**sizes), caliper_m=caliper
    )
    assert turns == pytest.approx(roll.layers(**sizes), rel=1e-9)


@given(CORES_M, st.floats(0.0, 1000.0))
def test_turns_without_caliper_are_length_over_circumference(diameter, length):
    turns = roll.revolutions_for_length(diameter_m=diameter, unwound_length_m=length, caliper_m=0.0)
    assert turns == pytest.approx(length / (math.pi * diameter), rel=1e-12)


@given(CORES_M, st.floats(0.01, 20.0))
def test_surface_and_angular_speed_are_inverse(diameter, speed):
    turning = roll.angular_speed_rad_per_s(surface_speed_m_per_s=speed, diameter_m=diameter)
    back = roll.surface_speed_m_per_s(angular_speed_rad_per_s=turning, diameter_m=diameter)
    assert back == pytest.approx(speed, rel=1e-12)


@given(CORES_M, BUILD_UPS_M, CALIPERS_M, st.floats(0.0, 0.5))
def test_roll_mass_and_inertia_equal_those_of_a_cylinder_of_its_density(
    core, build_up, caliper, core_inertia
):
    """Grammage over caliper is the density of the wound ring."""
    wound = roll.Roll(
        core_diameter_m=core,
        caliper_m=caliper,
        width_m=0.42,
        grammage_kg_per_m2=0.055,
        core_inertia_kg_m2=core_inertia,
    )
    sizes = {"outside_diameter_m": core + build_up, "inside_diameter_m": core}
    mass_kg = roll.cylinder_mass_kg(**sizes, width_m=0.42, density_kg_per_m3=0.055 / caliper)
    assert roll.roll_mass_kg(wound, core + build_up) == pytest.approx(mass_kg, rel=1e-12)
    expected = roll.cylinder_inertia_kg_m2(mass_kg=mass_kg, **sizes) + core_inertia
    assert roll.roll_inertia_kg_m2(wound, core + build_up) == pytest.approx(expected, rel=1e-12)


@given(st.floats(0.05, 1.5), st.floats(0.1, 20.0), st.floats(-3.0, 3.0), st.floats(1e-5, 1e-3))
def test_angular_acceleration_is_the_slope_of_the_angular_speed(diameter, speed, acceleration, caliper):
    """Compared with a central difference over a millisecond's fraction of exact unwinding."""
    step_s = 1e-5

    def turning(time_s):
        length_m = speed * time_s + acceleration * time_s**2 / 2
        now_m = roll.diameter_after_unwinding_m(
            diameter_m=diameter, unwound_length_m=length_m, caliper_m=caliper
        )
        return roll.angular_speed_rad_per_s(
            surface_speed_m_per_s=speed + acceleration * time_s, diameter_m=now_m
        )

    slope = (turning(step_s) - turning(-step_s)) / (2 * step_s)
    found = roll.angular_acceleration_rad_per_s2(
        web_acceleration_m_per_s2=acceleration,
        web_speed_m_per_s=speed,
        diameter_m=diameter,
        caliper_m=caliper,
    )
    assert found == pytest.approx(slope, rel=1e-4, abs=1e-5)


def test_tail_is_what_the_splice_does_not_use():
    assert roll.tail_length_m(remaining_when_armed_m=60.0, used_until_cut_m=45.0) == 15.0
    assert roll.tail_length_m(remaining_when_armed_m=30.0, used_until_cut_m=45.0) == -15.0


def test_mass_of_a_web_is_length_times_width_times_grammage():
    mass_kg = roll.web_mass_kg(length_m=1000.0, width_m=0.42, grammage_kg_per_m2=0.055)
    assert mass_kg == pytest.approx(23.1)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: roll.wound_length_m(outside_diameter_m=0.05, core_diameter_m=0.076, caliper_m=1e-4),
        lambda: roll.wound_length_m(outside_diameter_m=1.0, core_diameter_m=0.076, caliper_m=0.0),
        lambda: roll.layers(outside_diameter_m=1.0, core_diameter_m=0.076, caliper_m=math.nan),
        lambda: roll.diameter_from_length_m(remaining_length_m=-1.0, core_diameter_m=0.076, caliper_m=1e-4),
        lambda: roll.diameter_after_unwinding_m(diameter_m=0.1, unwound_length_m=1e6, caliper_m=1e-4),
        lambda: roll.caliper_from_length_m(outside_diameter_m=1.0, core_diameter_m=0.1, length_m=0.0),
        lambda: roll.angular_speed_rad_per_s(surface_speed_m_per_s=1.0, diameter_m=0.0),
    ],
)
def test_what_no_roll_can_be_is_refused(refused):
    with pytest.raises(ValueError, match=r"smaller than the core|positive|negative|does not hold"):
        refused()
