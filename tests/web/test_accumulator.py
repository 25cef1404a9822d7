"""Accumulator: the few printed or computed examples, and bookkeeping of length."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.web import accumulator
from seqcheck.web.accumulator import Accumulator

STRANDS = st.integers(1, 40)
SPEEDS = st.just(0.0) | st.floats(1e-6, 15.0)  # standstill, or a micrometre a second and more


def test_half_a_minute_of_line_speed_as_printed():
    """Source: trade article on zero-speed splicing in hot-melt coating: 300 m/min for 30 s: 150 m."""
    left_m = accumulator.content_after_m(
        content_m=150.0, infeed_speed_m_per_s=0.0, outfeed_speed_m_per_s=300 / 60, duration_s=30.0
    )
    assert left_m == pytest.approx(0.0, abs=1e-12)


def test_forty_metres_in_ten_strands():
    """Computed: 40.0 m in 10 strands: 4.0 m travel; 5 m/s out and none in: 0.50 m/s down."""
    assert accumulator.carriage_travel_m(strands=10, content_m=40.0) == pytest.approx(4.0)
    assert accumulator.required_stroke_m(draw_m=40.0, strands=10) == pytest.approx(4.0)
    falling = accumulator.carriage_speed_m_per_s(
        strands=10, infeed_speed_m_per_s=0.0, outfeed_speed_m_per_s=5.0
    )
    assert falling == pytest.approx(-0.50)


def test_refill_of_forty_metres():
    """Computed: 40 m at 10 % overspeed of 5 m/s takes 80 s."""
    assert accumulator.refill_time_s(deficit_m=40.0, line_speed_m_per_s=5.0, overspeed=0.10) == pytest.approx(
        80.0
    )


def test_fill_of_the_design_example():
    """Computed: 12 strands x 1.5 m from 20 % to 95 % is 13.5 m; 15 % of 4 m/s brings it in 22.5 s."""
    time_s = accumulator.fill_time_s(
        Accumulator(strands=12, stroke_m=1.5),
        from_level=0.20,
        to_level=0.95,
        line_speed_m_per_s=4.0,
        overspeed=0.15,
    )
    assert time_s == pytest.approx(22.5)


@given(STRANDS, st.floats(0.0, 5.0))
def test_content_and_travel_are_inverse(strands, travel):
    stored = accumulator.content_m(strands=strands, carriage_travel_m=travel)
    assert accumulator.carriage_travel_m(strands=strands, content_m=stored) == pytest.approx(travel)


@given(STRANDS, st.floats(0.1, 5.0), st.floats(-0.5, 1.5))
def test_content_and_level_are_inverse(strands, stroke, level):
    festoon = Accumulator(strands=strands, stroke_m=stroke)
    stored = accumulator.content_at_level_m(festoon, level)
    assert accumulator.level_at_content(festoon, stored) == pytest.approx(level)
    assert stored == pytest.approx(accumulator.content_m(strands=strands, carriage_travel_m=level * stroke))


@given(STRANDS, SPEEDS, SPEEDS, st.floats(0.0, 100.0))
def test_carriage_travel_keeps_the_books(strands, infeed, outfeed, duration):
    """Travel at carriage speed, times strands, is what came in less what went out."""
    travel_m = duration * accumulator.carriage_speed_m_per_s(
        strands=strands, infeed_speed_m_per_s=infeed, outfeed_speed_m_per_s=outfeed
    )
    after_m = accumulator.content_after_m(
        content_m=10.0, infeed_speed_m_per_s=infeed, outfeed_speed_m_per_s=outfeed, duration_s=duration
    )
    gained_m = accumulator.content_m(strands=strands, carriage_travel_m=travel_m)
    assert 10.0 + gained_m == pytest.approx(after_m, rel=1e-9, abs=1e-9)


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0), SPEEDS, SPEEDS)
def test_time_to_a_content_is_when_it_is_there(start, limit, infeed, outfeed):
    speeds = {"infeed_speed_m_per_s": infeed, "outfeed_speed_m_per_s": outfeed}
    time_s = accumulator.time_to_content_s(content_m=start, limit_m=limit, **speeds)
    if math.isinf(time_s):
        assert (limit - start) * (infeed - outfeed) <= 0
    else:
        assert time_s >= 0
        after_m = accumulator.content_after_m(content_m=start, duration_s=time_s, **speeds)
        assert after_m == pytest.approx(limit, rel=1e-9, abs=1e-9)


@given(st.floats(0.1, 200.0), st.floats(0.1, 3.0), st.floats(0.1, 1.0))
def test_required_strands_hold_the_draw_and_one_fewer_does_not(draw, stroke, usable):
    strands = accumulator.required_strands(draw_m=draw, stroke_m=stroke, usable=usable)
    assert strands * stroke * usable >= draw * (1 - 1e-12)
    assert strands == 1 or (strands - 1) * stroke * usable < draw * (1 + 1e-12)
    least_stroke_m = accumulator.required_stroke_m(draw_m=draw, strands=strands, usable=usable)
    assert least_stroke_m <= stroke * (1 + 1e-12)


def test_carriage_force_is_every_strand_plus_weight_and_drag():
    """Source: carriage force = N T plus carriage weight and drag (common practice); computed with g
    9.80665."""
    force_n = accumulator.carriage_force_n(
        strands=12, tension_n=60.0, carriage_mass_kg=40.0, carriage_acceleration_m_per_s2=0.5, drag_n=15.0
    )
    assert force_n == pytest.approx(720.0 + 392.266 + 20.0 + 15.0)
    assert accumulator.carriage_force_n(strands=12, tension_n=60.0) == pytest.approx(720.0)


@given(STRANDS, SPEEDS, SPEEDS)
def test_average_tension_rests_while_the_carriage_keeps_up(strands, infeed, outfeed):
    """Source: dT/dt = (EA / x) (v_c + (v_out - v_in) / N), accumulator papers 2000-2004 (from memory)."""
    festoon = Accumulator(strands=strands, stroke_m=1.5)
    speeds = {"infeed_speed_m_per_s": infeed, "outfeed_speed_m_per_s": outfeed}
    rates = [
        accumulator.average_tension_rate_n_per_s(
            festoon,
            stiffness_n=12000.0,
            strand_length_m=2.0,
            carriage_speed_m_per_s=accumulator.carriage_speed_m_per_s(strands=strands, **speeds) + ahead,
            **speeds,
        )
        for ahead in (0.0, 0.01)
    ]
    assert rates == pytest.approx([0.0, 60.0], abs=1e-6)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: Accumulator(strands=0, stroke_m=1.0),
        lambda: Accumulator(strands=4, stroke_m=0.0),
        lambda: accumulator.refill_time_s(deficit_m=1.0, line_speed_m_per_s=4.0, overspeed=0.0),
        lambda: accumulator.required_stroke_m(draw_m=1.0, strands=0),
        lambda: accumulator.required_strands(draw_m=1.0, stroke_m=1.0, usable=1.2),
        lambda: accumulator.required_strands(draw_m=1.0, stroke_m=0.0),
        lambda: accumulator.fill_time_s(
            Accumulator(strands=2, stroke_m=1.0),
            from_level=0.9,
            to_level=0.2,
            line_speed_m_per_s=4.0,
            overspeed=0.1,
        ),
    ],
)
def test_what_no_accumulator_can_do_is_refused(refused):
    with pytest.raises(ValueError, match=r"no accumulator|never fills|usable|positive|lower level"):
        refused()
