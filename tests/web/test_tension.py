"""Span tension: printed time constants and draws, step response against an independent integrator."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

from seqcheck.quantities.units import Dimension, parse_quantity
from seqcheck.web import tension
from seqcheck.web.tension import Span

FOOT_M, MINUTE_S = 0.3048, 60.0

LENGTHS = st.floats(0.1, 50.0)
STIFFNESSES = st.floats(500.0, 1e6)
SPEEDS = st.floats(0.05, 15.0)
DRAWS = st.floats(-0.005, 0.005)
TENSIONS = st.floats(0.0, 500.0)


@pytest.mark.parametrize(("speed_ft_per_min", "settled_s"), [(200, 45.0), (50, 180.0)])
def test_time_constant_of_a_printed_span(speed_ft_per_min, settled_s):
    """Source: webhandling.com/tension-0804: 50 ft, 200 ft/min: tau 15 s, 95 % at 45 s; 50 ft/min: 180 s."""
    speed_m_per_s = speed_ft_per_min * FOOT_M / MINUTE_S
    tau_s = tension.time_constant_s(span_length_m=50 * FOOT_M, speed_m_per_s=speed_m_per_s)
    assert 3 * tau_s == pytest.approx(settled_s, rel=1e-12)


@pytest.mark.parametrize(("time_constants", "part"), [(1, 0.632), (3, 0.950)])
def test_step_response_reaches_its_printed_parts(time_constants, part):
    """Source: webhandling.com/tension-0804 and the definition: 63.2 % at tau, 95.0 % at 3 tau; +- 0.1 %."""
    found = tension.tension_after_step_n(
        initial_tension_n=0.0, steady_tension_n=1.0, time_s=15.0 * time_constants, time_constant_s=15.0
    )
    assert found == pytest.approx(part, abs=0.001)


@given(LENGTHS, LENGTHS, STIFFNESSES, SPEEDS, DRAWS, TENSIONS)
def test_span_length_moves_the_time_constant_only(length, other_length, stiffness, speed, draw, entry):
    """Source: convertingquarterly.com, TSpan note: the span's length does not move the steady tension."""
    speeds = {"entry_speed_m_per_s": speed, "exit_speed_m_per_s": speed * (1 + draw)}
    steady = [
        tension.steady_tension_n(Span(metres, stiffness), entry_tension_n=entry, **speeds)
        for metres in (length, other_length)
    ]
    taus = [
        tension.time_constant_s(span_length_m=metres, speed_m_per_s=speed)
        for metres in (length, other_length)
    ]
    assert steady[0] == steady[1]
    assert taus[0] / taus[1] == pytest.approx(length / other_length, rel=1e-9)


@given(LENGTHS, STIFFNESSES, SPEEDS, st.floats(1.1, 10.0), st.floats(1e-4, 0.05))
def test_lower_speed_at_the_same_speed_difference_raises_tension(length, stiffness, speed, factor, more):
    """Source: convertingquarterly.com, TSpan note; sign test."""
    slow, fast = (
        tension.steady_tension_n(
            Span(length, stiffness),
            entry_speed_m_per_s=entry,
            exit_speed_m_per_s=entry + more,
            entry_tension_n=0.0,
        )
        for entry in (speed, factor * speed)
    )
    assert slow > fast > 0


@pytest.mark.parametrize(("strain", "lost_ft"), [(0.002, 10.0), (0.01, 50.0)])
def test_length_lost_to_strain_as_printed(strain, lost_ft):
    """Source: webhandling.com/tension-questions-09: 0.2 % of 5000 ft is 10 ft, 1 % is 50 ft; exact."""
    stretched_m = tension.stretch_m(length_m=5000 * FOOT_M, tension_n=strain * 12000.0, stiffness_n=12000.0)
    assert stretched_m / FOOT_M == pytest.approx(lost_ft, rel=1e-12)


def test_tension_of_a_tenth_of_a_percent_draw():
    """Computed: E 4 GPa, 25 um, 1 m, draw 0.1 %: 100 N +- 0.1, 0.57 PLI."""
    stiffness = tension.stiffness_n(modulus_pa=4e9, caliper_m=25e-6, width_m=1.0)
    found = tension.draw_tension_n(stiffness_n=stiffness, entry_speed_m_per_s=1.0, exit_speed_m_per_s=1.001)
    pound_per_inch = parse_quantity("1 lbf/in", Dimension.TENSION_PER_WIDTH)
    assert found == pytest.approx(100.0, abs=0.1)
    assert found / pound_per_inch == pytest.approx(0.57, abs=0.005)


def test_units_of_the_trade():
    """Computed, exact: 1 PLI = 175.127 N/m (to the digits given), 63 in/s = 1600.2 mm/s."""
    assert parse_quantity("1 lbf/in", Dimension.TENSION_PER_WIDTH) == pytest.approx(175.127, abs=0.0005)
    assert parse_quantity("63 in/s", Dimension.SPEED) * 1000 == pytest.approx(1600.2, rel=1e-12)


@given(LENGTHS, STIFFNESSES, SPEEDS, DRAWS, TENSIONS)
def test_tension_rests_at_its_steady_value(length, stiffness, speed, draw, entry):
    span = Span(length, stiffness)
    speeds = {"entry_speed_m_per_s": speed, "exit_speed_m_per_s": speed * (1 + draw)}
    steady = tension.steady_tension_n(span, entry_tension_n=entry, **speeds)
    rate = tension.tension_rate_n_per_s(span, entry_tension_n=entry, tension_n=steady, **speeds)
    scale = speed / length * (stiffness + entry)
    assert rate == pytest.approx(0.0, abs=1e-12 * scale)


@given(STIFFNESSES, SPEEDS, DRAWS)
def test_printed_steady_form_is_the_exact_one_times_the_ratio_of_speeds(stiffness, speed, draw):
    """T1 + EA (v2 - v1) / v1 (from memory) and the exact rest point of the linear law, T1 = 0: a part as
    large as the draw."""
    speeds = {"entry_speed_m_per_s": speed, "exit_speed_m_per_s": speed * (1 + draw)}
    exact = tension.steady_tension_n(Span(1.0, stiffness), entry_tension_n=0.0, **speeds)
    printed = tension.draw_tension_n(stiffness_n=stiffness, **speeds)
    assert exact * (1 + draw) == pytest.approx(printed, rel=1e-9, abs=1e-12 * stiffness)


@given(LENGTHS, STIFFNESSES, SPEEDS, DRAWS)
def test_mass_balance_rests_where_the_printed_steady_form_says(length, stiffness, speed, draw):
    """Exact form: (1 + e2) / (1 + e1) = v2 / v1, so with T1 = 0 the tension is EA (v2 - v1) / v1."""
    speeds = {"entry_speed_m_per_s": speed, "exit_speed_m_per_s": speed * (1 + draw)}
    steady = tension.draw_tension_n(stiffness_n=stiffness, **speeds)
    rate = tension.mass_balance_tension_rate_n_per_s(
        Span(length, stiffness), entry_tension_n=0.0, tension_n=steady, **speeds
    )
    assert rate == pytest.approx(0.0, abs=1e-12 * stiffness * speed / length)


@given(LENGTHS, STIFFNESSES, SPEEDS, DRAWS, st.floats(0.0, 0.005), st.floats(0.0, 0.005))
def test_linear_law_is_the_mass_balance_to_first_order_in_strain(
    length, stiffness, speed, draw, entry_strain, strain
):
    state = {
        "entry_speed_m_per_s": speed,
        "exit_speed_m_per_s": speed * (1 + draw),
        "entry_tension_n": entry_strain * stiffness,
        "tension_n": strain * stiffness,
    }
    linear = tension.tension_rate_n_per_s(Span(length, stiffness), **state)
    exact = tension.mass_balance_tension_rate_n_per_s(Span(length, stiffness), **state)
    # Second order: products of two of draw, strain and entry strain; their coefficients sum to less than 4.
    second_order = 4 * max(abs(draw), strain, entry_strain) ** 2
    assert exact == pytest.approx(linear, abs=(second_order + 1e-12) * stiffness * speed / length)


@given(LENGTHS, SPEEDS, st.floats(-0.1, 0.1), st.floats(0.0, 0.1), st.floats(0.0, 0.1))
def test_mass_balance_rate_keeps_the_unstretched_length(length, speed, draw, entry_strain, strain):
    """The slope of L / (1 + e2), by central difference along the rate, is v1 / (1 + e1) - v2 / (1 + e2)."""
    stiffness, step_s = 1000.0, 1e-4 * length / speed
    rate = tension.mass_balance_tension_rate_n_per_s(
        Span(length, stiffness),
        entry_speed_m_per_s=speed,
        exit_speed_m_per_s=speed * (1 + draw),
        entry_tension_n=entry_strain * stiffness,
        tension_n=strain * stiffness,
    )
    later, earlier = (length / (1 + strain + sign * step_s * rate / stiffness) for sign in (1, -1))
    gained_m_per_s = speed / (1 + entry_strain) - speed * (1 + draw) / (1 + strain)
    assert (later - earlier) / (2 * step_s) == pytest.approx(gained_m_per_s, rel=1e-6, abs=1e-9 * speed)


def test_step_response_agrees_with_an_independent_integrator():
    """scipy's solve_ivp on the rate of one span, through 5 time constants."""
    span, speeds, entry = Span(6.0, 12000.0), (4.0, 4.02), 60.0

    def rate(_time, state):
        return tension.tension_rates_n_per_s(
            [span], roller_speeds_m_per_s=speeds, entry_tension_n=entry, tensions_n=tuple(state)
        )

    tau_s = tension.time_constant_s(span_length_m=6.0, speed_m_per_s=speeds[1])
    times = [tau_s * step / 4 for step in range(21)]
    solved = solve_ivp(rate, (0.0, times[-1]), [20.0], t_eval=times, rtol=1e-10, atol=1e-9)
    (steady,) = tension.steady_tensions_n([span], roller_speeds_m_per_s=speeds, entry_tension_n=entry)
    exact = [
        tension.tension_after_step_n(
            initial_tension_n=20.0, steady_tension_n=steady, time_s=time_s, time_constant_s=tau_s
        )
        for time_s in times
    ]
    assert list(solved.y[0]) == pytest.approx(exact, rel=1e-7)


def test_a_row_of_spans_settles_at_its_steady_tensions():
    """Three spans integrated by solve_ivp until long after the sum of their time constants."""
    spans = [Span(2.0, 12000.0), Span(5.0, 12000.0), Span(1.0, 12000.0)]
    speeds = (4.0, 4.004, 4.010, 3.998)
    row = {"roller_speeds_m_per_s": speeds, "entry_tension_n": 60.0}
    solved = solve_ivp(
        lambda _time, state: tension.tension_rates_n_per_s(spans, tensions_n=tuple(state), **row),
        (0.0, 60.0),
        [60.0, 60.0, 60.0],
        rtol=1e-9,
        atol=1e-9,
    )
    assert list(solved.y[:, -1]) == pytest.approx(tension.steady_tensions_n(spans, **row), rel=1e-6)


def test_each_span_hands_its_tension_on():
    """Rates by hand: equal speeds of 2 m/s; 30 N enters a span at 10 N, which enters one at 50 N."""
    rates = tension.tension_rates_n_per_s(
        [Span(4.0, 1000.0), Span(5.0, 1000.0)],
        roller_speeds_m_per_s=(2.0, 2.0, 2.0),
        entry_tension_n=30.0,
        tensions_n=(10.0, 50.0),
    )
    assert rates == pytest.approx((10.0, -16.0))


def test_standstill_keeps_the_tension():
    tau_s = tension.time_constant_s(span_length_m=3.0, speed_m_per_s=0.0)
    assert tau_s == math.inf
    held = tension.tension_after_step_n(
        initial_tension_n=42.0, steady_tension_n=0.0, time_s=1e6, time_constant_s=tau_s
    )
    assert held == 42.0


@given(LENGTHS, STIFFNESSES, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_held_span_is_the_law_with_its_entry_at_rest(length, stiffness, speed, duration):
    """With v1 = 0 and small strain, EA v2 / L x time is the pull; the law's -v2 T2 is of second order."""
    span = Span(length, stiffness)
    pulled_m = speed * duration
    held = tension.tension_when_held_n(span, initial_tension_n=0.0, pulled_length_m=pulled_m)
    rate = tension.tension_rate_n_per_s(
        span, entry_speed_m_per_s=0.0, exit_speed_m_per_s=speed, entry_tension_n=0.0, tension_n=0.0
    )
    assert held == pytest.approx(rate * duration, rel=1e-12)


def test_lap_shear_limit_is_strength_times_area():
    limit_n = tension.lap_shear_limit_n(shear_strength_pa=2e5, lap_length_m=0.025, width_m=0.42)
    assert limit_n == pytest.approx(2100.0)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: tension.tension_rates_n_per_s(
            [Span(1.0, 1.0)], roller_speeds_m_per_s=(1.0, 1.0), entry_tension_n=0.0, tensions_n=()
        ),
        lambda: tension.tension_rates_n_per_s(
            [Span(1.0, 1.0)], roller_speeds_m_per_s=(1.0,), entry_tension_n=0.0, tensions_n=(1.0,)
        ),
        lambda: tension.steady_tensions_n(
            [Span(1.0, 1.0)], roller_speeds_m_per_s=(1.0,), entry_tension_n=0.0
        ),
        lambda: tension.draw_tension_n(stiffness_n=1.0, entry_speed_m_per_s=0.0, exit_speed_m_per_s=1.0),
        lambda: tension.steady_tension_n(
            Span(1.0, 1.0), entry_speed_m_per_s=1.0, exit_speed_m_per_s=0.0, entry_tension_n=0.0
        ),
        lambda: tension.tension_after_step_n(
            initial_tension_n=0.0, steady_tension_n=1.0, time_s=1.0, time_constant_s=0.0
        ),
    ],
)
def test_what_no_span_can_be_is_refused(refused):
    expected = r"1 spans need (2 rollers|1 tensions)|must not be 0|exit speed is 0|positive"
    with pytest.raises(ValueError, match=expected):
        refused()
