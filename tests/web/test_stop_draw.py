"""The draw of a stop: closed form, its inverses and bounds, against exact bookkeeping of the content."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import fixed_quad  # type: ignore[import-untyped]

from seqcheck.web import stop_draw
from seqcheck.web.broken_ramp import reversed_ramp
from seqcheck.web.content_history import SpeedPoint, content_history, highest, lowest, speed_at_m_per_s
from seqcheck.web.ramp import end_of, joined, linear_ramp
from seqcheck.web.stop_draw import StopTimes

SPEEDS = st.floats(0.1, 15.0)
RAMPS_S = st.floats(0.05, 20.0)
DWELLS_S = st.floats(0.0, 20.0)


@st.composite
def stops(draw):
    start = draw(st.floats(-10.0, 1000.0))
    standstill = start + draw(RAMPS_S)
    restart = standstill + draw(DWELLS_S)
    at_speed = restart + draw(RAMPS_S)
    return StopTimes(stop_start_s=start, standstill_s=standstill, restart_s=restart, at_speed_s=at_speed)


def unwind_course(times, first_speed, last_speed):
    """Speed of the unwind through a stop with some dwell."""
    instants = {times.standstill_s: 0.0, times.restart_s: 0.0}
    course = {times.stop_start_s: first_speed, **instants, times.at_speed_s: last_speed}
    return [SpeedPoint(time_s, speed) for time_s, speed in course.items()]


def test_the_budget_of_a_stop_at_five_metres_a_second():
    """Computed: v 5 m/s, both ramps 1 m/s2, dwell 3 s: 40.0 m."""
    drawn_m = stop_draw.draw_of_stop_at_rates_m(
        line_speed_m_per_s=5.0, deceleration_m_per_s2=1.0, dwell_s=3.0, acceleration_m_per_s2=1.0
    )
    times = StopTimes(stop_start_s=0.0, standstill_s=5.0, restart_s=8.0, at_speed_s=13.0)
    assert drawn_m == pytest.approx(40.0)
    assert stop_draw.draw_of_stop_m(line_speed_m_per_s=5.0, times=times) == pytest.approx(40.0)


@given(SPEEDS, stops())
def test_draw_is_what_the_content_loses(speed, times):
    """Identity: content(t) = content(0) + integral (v_in - v_out); the lowest point is at t3."""
    history = content_history(
        100.0,
        infeed=unwind_course(times, speed, speed),
        outfeed=[SpeedPoint(0.0, speed)],
        from_s=times.stop_start_s - 1.0,
        until_s=times.at_speed_s + 1.0,
    )
    drawn_m = stop_draw.draw_of_stop_m(line_speed_m_per_s=speed, times=times)
    assert 100.0 - lowest(history).content_m == pytest.approx(drawn_m, rel=1e-9, abs=1e-9)
    assert history[-1].content_m == pytest.approx(100.0 - drawn_m, rel=1e-9, abs=1e-9)


@given(SPEEDS, st.floats(1.0, 1.5), stops())
def test_stop_from_overspeed_first_overfills_then_draws_less(speed, factor, times):
    history = content_history(
        100.0,
        infeed=unwind_course(times, factor * speed, speed),
        outfeed=[SpeedPoint(0.0, speed)],
        from_s=times.stop_start_s,
        until_s=times.at_speed_s,
    )
    speeds = {"line_speed_m_per_s": speed, "unwind_speed_m_per_s": factor * speed}
    drawn_m = stop_draw.draw_of_stop_from_overspeed_m(**speeds, times=times)
    overfill_m = stop_draw.overfill_of_stop_m(
        **speeds, stop_duration_s=times.standstill_s - times.stop_start_s
    )
    assert history[-1].content_m == pytest.approx(100.0 - drawn_m, rel=1e-9, abs=1e-7)
    assert highest(history).content_m == pytest.approx(100.0 + overfill_m, rel=1e-9, abs=1e-7)


def test_an_unwind_slower_than_the_line_overfills_nothing():
    assert (
        stop_draw.overfill_of_stop_m(line_speed_m_per_s=4.0, unwind_speed_m_per_s=3.0, stop_duration_s=1.0)
        == 0.0
    )


@given(SPEEDS, RAMPS_S, st.floats(0.01, 1.0), st.floats(0.05, 20.0))
def test_bound_of_a_broken_stop_is_never_below_its_draw(speed, stop_s, part, rate):
    stop = linear_ramp(start_speed_m_per_s=speed, end_speed_m_per_s=0.0, duration_s=stop_s)
    broken = reversed_ramp(stop, broken_off_at_s=part * stop_s, end_speed_m_per_s=speed, rate_m_per_s2=rate)
    drawn_m = speed * broken.duration_s - end_of(broken).distance_m
    bound_m = stop_draw.draw_bound_of_broken_stop_m(
        line_speed_m_per_s=speed, first_stop_start_s=3.0, at_speed_s=3.0 + broken.duration_s
    )
    assert 0 <= drawn_m <= bound_m * (1 + 1e-9)


@given(SPEEDS, st.floats(1.0, 1.5), RAMPS_S, RAMPS_S)
def test_bound_of_overfill_is_never_below_what_the_ramps_bring(speed, factor, up_s, down_s):
    up = linear_ramp(start_speed_m_per_s=speed, end_speed_m_per_s=factor * speed, duration_s=up_s)
    down = linear_ramp(start_speed_m_per_s=factor * speed, end_speed_m_per_s=speed, duration_s=down_s)
    both = joined(up, down)
    brought_m = end_of(both).distance_m - speed * both.duration_s
    bound_m = stop_draw.overfill_bound_of_broken_stop_m(
        line_speed_m_per_s=speed,
        top_unwind_speed_m_per_s=factor * speed,
        first_ramp_start_s=0.0,
        end_s=both.duration_s,
    )
    assert brought_m <= bound_m + 1e-9 * speed * both.duration_s


@given(st.floats(0.1, 200.0), stops())
def test_highest_line_speed_uses_exactly_the_available_length(available, times):
    speed = stop_draw.highest_line_speed_m_per_s(available_m=available, times=times)
    assert stop_draw.draw_of_stop_m(line_speed_m_per_s=speed, times=times) == pytest.approx(available)


@given(st.floats(0.0, 200.0), st.floats(0.05, 5.0), DWELLS_S, st.floats(0.05, 5.0))
def test_highest_line_speed_at_rates_uses_exactly_the_available_length(available, slow, dwell, fast):
    rates = {"deceleration_m_per_s2": slow, "dwell_s": dwell, "acceleration_m_per_s2": fast}
    speed = stop_draw.highest_line_speed_at_rates_m_per_s(available_m=available, **rates)
    drawn_m = stop_draw.draw_of_stop_at_rates_m(line_speed_m_per_s=speed, **rates)
    assert drawn_m == pytest.approx(available, rel=1e-9)


def test_a_stop_without_time_limits_no_speed():
    times = StopTimes(stop_start_s=1.0, standstill_s=1.0, restart_s=1.0, at_speed_s=1.0)
    assert stop_draw.highest_line_speed_m_per_s(available_m=5.0, times=times) == math.inf


def test_web_for_a_line_stop():
    """Computed: 4 m/s, 0.25 s reaction and 2.5 s linear stop: 1 m + 5 m."""
    length_m = stop_draw.line_stop_length_m(line_speed_m_per_s=4.0, reaction_s=0.25, stop_duration_s=2.5)
    assert length_m == pytest.approx(6.0)


def courses():
    points = st.lists(st.tuples(st.floats(0.1, 5.0), st.floats(0.0, 10.0)), min_size=1, max_size=6)

    def course(pairs):
        time_s, corners = -2.0, []
        for step, speed in pairs:
            time_s += step
            corners.append(SpeedPoint(time_s, speed))
        return corners

    return points.map(course)


def net_speeds(infeed, outfeed, times):
    return [speed_at_m_per_s(infeed, time) - speed_at_m_per_s(outfeed, time) for time in times]


@given(courses(), courses())
def test_content_history_is_the_integral_of_the_speeds(infeed, outfeed):
    """Against Gauss quadrature from corner to corner, on any courses."""
    history = content_history(20.0, infeed=infeed, outfeed=outfeed, from_s=0.0, until_s=12.0)
    corners = {point.time_s for point in (*infeed, *outfeed) if 0.0 < point.time_s < 12.0}
    expected = sum(
        fixed_quad(lambda times: net_speeds(infeed, outfeed, times), begin, end)[0]
        for begin, end in pairwise(sorted(corners | {0.0, 12.0}))
    )
    assert history[-1].content_m == pytest.approx(20.0 + expected, rel=1e-9, abs=1e-9)


@given(courses(), courses())
def test_no_instant_lies_outside_the_extremes_of_the_history(infeed, outfeed):
    courses_given = {"infeed": infeed, "outfeed": outfeed, "from_s": 0.0}
    history = content_history(20.0, **courses_given, until_s=12.0)
    for step in range(1, 40):
        until_s = 12.0 * step / 40
        content_m = content_history(20.0, **courses_given, until_s=until_s)[-1].content_m
        assert lowest(history).content_m - 1e-9 <= content_m <= highest(history).content_m + 1e-9


def test_history_has_the_instant_at_which_the_speeds_cross():
    """Infeed falls 2 to 0 m/s in 4 s past a line at 1 m/s: it peaks by 1 m at 2 s, is back at 4 s."""
    history = content_history(
        5.0,
        infeed=[SpeedPoint(0.0, 2.0), SpeedPoint(4.0, 0.0)],
        outfeed=[SpeedPoint(0.0, 1.0)],
        from_s=0.0,
        until_s=4.0,
    )
    assert [(point.time_s, point.content_m) for point in history] == [(0.0, 5.0), (2.0, 6.0), (4.0, 5.0)]


@pytest.mark.parametrize(
    "refused",
    [
        lambda: StopTimes(stop_start_s=0.0, standstill_s=2.0, restart_s=1.0, at_speed_s=3.0),
        lambda: stop_draw.draw_of_stop_at_rates_m(
            line_speed_m_per_s=1.0, deceleration_m_per_s2=0.0, dwell_s=1.0, acceleration_m_per_s2=1.0
        ),
        lambda: stop_draw.highest_line_speed_at_rates_m_per_s(
            available_m=-1.0, deceleration_m_per_s2=1.0, dwell_s=1.0, acceleration_m_per_s2=1.0
        ),
        lambda: speed_at_m_per_s([], 0.0),
        lambda: speed_at_m_per_s([SpeedPoint(1.0, 1.0), SpeedPoint(1.0, 2.0)], 0.0),
        lambda: content_history(
            1.0, infeed=[SpeedPoint(0.0, 1.0)], outfeed=[SpeedPoint(0.0, 1.0)], from_s=1.0, until_s=0.0
        ),
    ],
)
def test_what_no_stop_can_be_is_refused(refused):
    with pytest.raises(ValueError, match=r"out of order|positive|negative|one point|rise in time|before"):
        refused()


def test_bounds_of_broken_ramps_in_numbers():
    """By hand: 4 m/s from 3 to 8 s: 20 m; top speed 4.6 m/s for the same time brings 3 m too much."""
    drawn_m = stop_draw.draw_bound_of_broken_stop_m(
        line_speed_m_per_s=4.0, first_stop_start_s=3.0, at_speed_s=8.0
    )
    overfill_m = stop_draw.overfill_bound_of_broken_stop_m(
        line_speed_m_per_s=4.0, top_unwind_speed_m_per_s=4.6, first_ramp_start_s=3.0, end_s=8.0
    )
    assert drawn_m == pytest.approx(20.0)
    assert overfill_m == pytest.approx(3.0)


@given(SPEEDS, stops())
def test_bound_of_a_broken_stop_covers_a_complete_one(speed, times):
    """The bound is approached as the dwell outweighs the ramps, and never passed."""
    bound_m = stop_draw.draw_bound_of_broken_stop_m(
        line_speed_m_per_s=speed, first_stop_start_s=times.stop_start_s, at_speed_s=times.at_speed_s
    )
    assert stop_draw.draw_of_stop_m(line_speed_m_per_s=speed, times=times) <= bound_m * (1 + 1e-12)
