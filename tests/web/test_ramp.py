"""Ramps and moves: printed profiles, and closed forms against numeric integration."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import fixed_quad  # type: ignore[import-untyped]

from seqcheck.web import broken_ramp, move, ramp

SPEEDS = st.floats(0.0, 15.0)
RATES = st.floats(0.05, 20.0)
JERKS = st.floats(0.05, 200.0)
DURATIONS = st.floats(0.05, 60.0)
PARTS = st.floats(0.0, 1.0)


def speeds_at(profile, times):
    return [ramp.motion_at(profile, time).speed_m_per_s for time in times]


def integrated_m(profile, until_s):
    """Area under the speed, phase by phase: in one it is a parabola, on which Gauss quadrature is exact."""
    total, begin = 0.0, 0.0
    for phase in (*profile.phases, ramp.Phase(duration_s=until_s, acceleration_m_per_s2=0.0)):
        end = min(until_s, begin + phase.duration_s)
        if end > begin:
            total += fixed_quad(lambda times: speeds_at(profile, times), begin, end)[0]
        begin = end
    return total


def test_trapezoid_of_thirds_as_printed():
    """Source: trade article on motion profiles: 4 m in 1 s: 6 m/s, 18 m/s2, covering 1 m + 2 m + 1 m."""
    thirds = move.trapezoid_of_thirds(distance_m=4.0, duration_s=1.0)
    assert thirds.peak_speed_m_per_s == pytest.approx(6.0, rel=1e-12)
    assert thirds.acceleration_m_per_s2 == pytest.approx(18.0, rel=1e-12)
    covered = [ramp.motion_at(thirds.profile, part / 3).distance_m for part in range(4)]
    assert covered == pytest.approx([0.0, 1.0, 3.0, 4.0], abs=1e-12)
    assert thirds.profile.phases[0].acceleration_m_per_s2 == pytest.approx(18.0, rel=1e-12)


def test_s_curve_of_thirds_as_printed():
    """Source: trade article on motion profiles: 4 m in 1 s: 27 m/s2, 243 m/s3, jerk time 1/9 s."""
    thirds = move.s_curve_of_thirds(distance_m=4.0, duration_s=1.0)
    assert thirds.acceleration_m_per_s2 == pytest.approx(27.0, rel=1e-12)
    assert thirds.jerk_m_per_s3 == pytest.approx(243.0, rel=1e-12)
    build, hold = thirds.profile.phases[:2]
    assert build.duration_s == pytest.approx(1 / 9, rel=1e-12)
    assert build.jerk_m_per_s3 == pytest.approx(243.0, rel=1e-12)
    assert hold.acceleration_m_per_s2 == pytest.approx(27.0, rel=1e-12)
    assert ramp.end_of(thirds.profile).distance_m == pytest.approx(4.0, rel=1e-12)


@given(st.floats(0.01, 500.0), DURATIONS)
def test_triangle_peaks_at_twice_the_mean_speed_half_way_in_time(distance, duration):
    """Source: trade article on triangular profiles (linearmotiontips.com): v_max = 2 dx / dt, t_a = t / 2."""
    found = move.triangle(distance_m=distance, duration_s=duration)
    half = ramp.motion_at(found.profile, duration / 2)
    assert found.peak_speed_m_per_s == pytest.approx(2 * distance / duration, rel=1e-12)
    assert half.speed_m_per_s == pytest.approx(found.peak_speed_m_per_s, rel=1e-9)
    assert half.acceleration_m_per_s2 == pytest.approx(found.acceleration_m_per_s2, rel=1e-12)
    assert half.distance_m == pytest.approx(distance / 2, rel=1e-9)


@given(st.sampled_from([move.trapezoid_of_thirds, move.s_curve_of_thirds, move.triangle]), DURATIONS)
def test_every_move_covers_its_distance_in_its_time_and_ends_at_rest(kind, duration):
    profile = kind(distance_m=7.0, duration_s=duration).profile
    assert profile.duration_s == pytest.approx(duration, rel=1e-12)
    assert ramp.end_of(profile).distance_m == pytest.approx(7.0, rel=1e-9)
    assert ramp.end_of(profile).speed_m_per_s == pytest.approx(0.0, abs=1e-9 * 7.0 / duration)


def test_jerk_limited_time_agrees_with_the_s_curve_of_thirds():
    """Source: general jerk-limited ramp (from memory), cross-checked: dv 6, a 27, j 243 gives 0.3333 s."""
    time_s = ramp.jerk_limited_ramp_time_s(speed_change_m_per_s=6.0, rate_m_per_s2=27.0, jerk_m_per_s3=243.0)
    assert time_s == pytest.approx(1 / 3, rel=1e-12)


@given(SPEEDS, SPEEDS, RATES, JERKS)
def test_jerk_limited_ramp_takes_its_time_keeps_its_limits_and_has_the_mean_speed(start, end, rate, jerk):
    """Source: distance = mean speed x time for a symmetric ramp (from memory), textbook."""
    limits = {"rate_m_per_s2": rate, "jerk_m_per_s3": jerk}
    profile = ramp.jerk_limited_ramp(start_speed_m_per_s=start, end_speed_m_per_s=end, **limits)
    time_s = ramp.jerk_limited_ramp_time_s(speed_change_m_per_s=end - start, **limits)
    reached = ramp.end_of(profile)
    assert profile.duration_s == pytest.approx(time_s, rel=1e-9)
    assert reached.speed_m_per_s == pytest.approx(end, rel=1e-9, abs=1e-9)
    assert reached.distance_m == pytest.approx((start + end) / 2 * time_s, rel=1e-9, abs=1e-9)
    assert all(abs(phase.acceleration_m_per_s2) <= rate for phase in profile.phases)
    assert all(abs(phase.jerk_m_per_s3) <= jerk * (1 + 1e-12) for phase in profile.phases)


def test_constant_deceleration_from_a_textbook():
    """Source: textbook, computed: 5 m/s at 1 m/s2: 5 s and 12.5 m; a dead time t0 adds v t0."""
    stop = {"speed_m_per_s": 5.0, "deceleration_m_per_s2": 1.0}
    assert ramp.stopping_time_s(**stop) == 5.0
    assert ramp.stopping_distance_m(**stop) == 12.5
    assert ramp.stopping_time_s(**stop, dead_time_s=0.2) == pytest.approx(5.2)
    assert ramp.stopping_distance_m(**stop, dead_time_s=0.2) == pytest.approx(13.5)


@given(SPEEDS, RATES)
def test_stopping_distance_is_the_length_of_the_stop_ramp(speed, rate):
    profile = ramp.linear_ramp_at_rate(start_speed_m_per_s=speed, end_speed_m_per_s=0.0, rate_m_per_s2=rate)
    expected = ramp.stopping_distance_m(speed_m_per_s=speed, deceleration_m_per_s2=rate)
    assert ramp.end_of(profile).distance_m == pytest.approx(expected, rel=1e-9)


@given(SPEEDS, SPEEDS, DURATIONS, st.floats(0.01, 0.5), st.floats(0.0, 1.5))
def test_distance_is_the_integral_of_the_speed(start, end, duration, rounding, part):
    ends = {"start_speed_m_per_s": start, "end_speed_m_per_s": end, "duration_s": duration}
    for profile in (ramp.linear_ramp(**ends), ramp.s_curve_ramp(**ends, rounding=rounding)):
        time_s = part * duration
        expected = integrated_m(profile, time_s)
        assert ramp.motion_at(profile, time_s).distance_m == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(SPEEDS, SPEEDS, DURATIONS, st.floats(0.01, 0.5))
def test_s_curve_of_given_time_ends_at_its_speed_after_its_time_and_mean_distance(
    start, end, duration, rounding
):
    profile = ramp.s_curve_ramp(
        start_speed_m_per_s=start, end_speed_m_per_s=end, duration_s=duration, rounding=rounding
    )
    reached = ramp.end_of(profile)
    assert profile.duration_s == pytest.approx(duration, rel=1e-12)
    assert reached.speed_m_per_s == pytest.approx(end, rel=1e-9, abs=1e-9)
    assert reached.distance_m == pytest.approx((start + end) / 2 * duration, rel=1e-9, abs=1e-9)


def test_a_ramp_of_no_duration_is_a_step():
    step = ramp.linear_ramp(start_speed_m_per_s=4.0, end_speed_m_per_s=1.0, duration_s=0.0)
    assert ramp.motion_at(step, 2.0) == ramp.Motion(
        distance_m=2.0, speed_m_per_s=1.0, acceleration_m_per_s2=0.0
    )


@given(st.floats(0.1, 15.0), RATES, RATES, PARTS)
def test_reversed_stop_closed_form_agrees_with_its_profile(speed, slow_rate, fast_rate, part):
    stop = ramp.linear_ramp_at_rate(start_speed_m_per_s=speed, end_speed_m_per_s=0.0, rate_m_per_s2=slow_rate)
    break_s = part * stop.duration_s
    profile = broken_ramp.reversed_ramp(
        stop, broken_off_at_s=break_s, end_speed_m_per_s=speed, rate_m_per_s2=fast_rate
    )
    expected = broken_ramp.reversed_stop_distance_m(
        speed_m_per_s=speed,
        deceleration_m_per_s2=slow_rate,
        acceleration_m_per_s2=fast_rate,
        broken_off_at_s=break_s,
    )
    assert ramp.end_of(profile).distance_m == pytest.approx(expected, rel=1e-9, abs=1e-9)
    assert ramp.end_of(profile).distance_m == pytest.approx(
        integrated_m(profile, profile.duration_s), rel=1e-9, abs=1e-9
    )
    assert ramp.end_of(profile).speed_m_per_s == pytest.approx(speed, rel=1e-9)


def test_reversed_stop_in_numbers():
    """Computed: 4 m/s at 2 m/s2 for 1 s (3 m, down to 2 m/s), back at 1 m/s2 (2 s at 3 m/s mean: 6 m)."""
    distance_m = broken_ramp.reversed_stop_distance_m(
        speed_m_per_s=4.0, deceleration_m_per_s2=2.0, acceleration_m_per_s2=1.0, broken_off_at_s=1.0
    )
    assert distance_m == pytest.approx(9.0)


@given(st.floats(0.1, 15.0), RATES, JERKS, PARTS)
def test_reversed_s_curve_keeps_its_limits_never_runs_backwards_and_returns(speed, rate, jerk, part):
    limits = {"rate_m_per_s2": rate, "jerk_m_per_s3": jerk}
    stop = ramp.jerk_limited_ramp(start_speed_m_per_s=speed, end_speed_m_per_s=0.0, **limits)
    profile = broken_ramp.reversed_s_curve(
        stop, broken_off_at_s=part * stop.duration_s, end_speed_m_per_s=speed, **limits
    )
    motions = [ramp.motion_at(profile, profile.duration_s * step / 50) for step in range(51)]
    assert all(motion.speed_m_per_s >= -1e-9 for motion in motions)
    assert all(abs(motion.acceleration_m_per_s2) <= rate * (1 + 1e-9) for motion in motions)
    assert motions[-1].speed_m_per_s == pytest.approx(speed, rel=1e-9)
    assert motions[-1].acceleration_m_per_s2 == pytest.approx(0.0, abs=1e-6 * rate)
    assert motions[-1].distance_m == pytest.approx(
        integrated_m(profile, profile.duration_s), rel=1e-9, abs=1e-9
    )


@given(SPEEDS, SPEEDS, RATES, JERKS, PARTS)
def test_a_broken_ramp_is_the_whole_one_until_the_break_and_then_coasts(start, end, rate, jerk, part):
    whole = ramp.jerk_limited_ramp(
        start_speed_m_per_s=start, end_speed_m_per_s=end, rate_m_per_s2=rate, jerk_m_per_s3=jerk
    )
    break_s = part * whole.duration_s
    broken = broken_ramp.broken_off(whole, break_s)
    at_break = ramp.motion_at(whole, break_s)
    later = ramp.motion_at(broken, break_s + 3.0)
    assert broken.duration_s == pytest.approx(break_s, rel=1e-9, abs=1e-12)
    assert later.speed_m_per_s == pytest.approx(at_break.speed_m_per_s, rel=1e-9, abs=1e-9)
    expected_m = at_break.distance_m + 3.0 * at_break.speed_m_per_s
    assert later.distance_m == pytest.approx(expected_m, rel=1e-9, abs=1e-9)


def test_ramps_that_do_not_meet_cannot_be_joined():
    up = ramp.linear_ramp(start_speed_m_per_s=0.0, end_speed_m_per_s=2.0, duration_s=1.0)
    with pytest.raises(ValueError, match=r"from 3.0 m/s cannot follow one to 2.0 m/s"):
        ramp.joined(up, ramp.Profile(3.0))


@pytest.mark.parametrize(
    "refused",
    [
        lambda: ramp.linear_ramp(start_speed_m_per_s=0.0, end_speed_m_per_s=1.0, duration_s=-1.0),
        lambda: ramp.linear_ramp_at_rate(start_speed_m_per_s=0.0, end_speed_m_per_s=1.0, rate_m_per_s2=0.0),
        lambda: ramp.motion_at(ramp.Profile(1.0), -0.1),
        lambda: ramp.stopping_time_s(speed_m_per_s=1.0, deceleration_m_per_s2=0.0),
        lambda: move.triangle(distance_m=1.0, duration_s=0.0),
        lambda: ramp.s_curve_ramp(
            start_speed_m_per_s=0.0, end_speed_m_per_s=1.0, duration_s=1.0, rounding=0.6
        ),
    ],
)
def test_what_no_ramp_can_be_is_refused(refused):
    with pytest.raises(ValueError, match=r"cannot last|positive|before the start|rounding"):
        refused()
