"""Ramps that are broken off part-way: a stop that is called off, a restart that is stopped again.

The speed turns round before the ramp is complete, at once where only the acceleration is limited. A drive
that also limits jerk first lets its acceleration go, so that the speed overruns the break.
"""

import math

from seqcheck.web.positive import require_positive
from seqcheck.web.ramp import Phase, Profile, end_of, jerk_limited_ramp, joined, linear_ramp_at_rate


def broken_off(profile: Profile, time_s: float) -> Profile:
    """The part of `profile` before `time_s`; it then holds the speed reached.

    Source: definition.
    """
    kept: list[Phase] = []
    for phase in profile.phases:
        if time_s <= 0:
            break
        kept.append(_shortened(phase, min(time_s, phase.duration_s)))
        time_s -= phase.duration_s
    return Profile(profile.start_speed_m_per_s, tuple(kept))


def reversed_ramp(
    profile: Profile, *, broken_off_at_s: float, end_speed_m_per_s: float, rate_m_per_s2: float
) -> Profile:
    """`profile` broken off part-way, followed at once by a linear ramp to `end_speed_m_per_s`.

    Raises ValueError if the rate is not positive.
    Source: definition.
    """
    first = broken_off(profile, broken_off_at_s)
    second = linear_ramp_at_rate(
        start_speed_m_per_s=end_of(first).speed_m_per_s,
        end_speed_m_per_s=end_speed_m_per_s,
        rate_m_per_s2=rate_m_per_s2,
    )
    return joined(first, second)


def reversed_s_curve(
    profile: Profile,
    *,
    broken_off_at_s: float,
    end_speed_m_per_s: float,
    rate_m_per_s2: float,
    jerk_m_per_s3: float,
) -> Profile:
    """`profile` broken off part-way, its acceleration let go, then an S-curve to the end speed.

    Letting go takes |a| / j, in which the speed still moves on by a |a| / (2 j): the web overruns the break.

    Raises ValueError if rate or jerk is not positive.
    Source: constant jerk from acceleration a to 0.
    """
    require_positive("jerk_m_per_s3", jerk_m_per_s3)
    first = broken_off(profile, broken_off_at_s)
    reached = end_of(first)
    let_go = Phase(
        duration_s=abs(reached.acceleration_m_per_s2) / jerk_m_per_s3,
        acceleration_m_per_s2=reached.acceleration_m_per_s2,
        jerk_m_per_s3=-math.copysign(jerk_m_per_s3, reached.acceleration_m_per_s2),
    )
    settled = joined(first, Profile(reached.speed_m_per_s, (let_go,)))
    back = jerk_limited_ramp(
        start_speed_m_per_s=end_of(settled).speed_m_per_s,
        end_speed_m_per_s=end_speed_m_per_s,
        rate_m_per_s2=rate_m_per_s2,
        jerk_m_per_s3=jerk_m_per_s3,
    )
    return joined(settled, back)


def reversed_stop_distance_m(
    *,
    speed_m_per_s: float,
    deceleration_m_per_s2: float,
    acceleration_m_per_s2: float,
    broken_off_at_s: float,
) -> float:
    """Distance of a linear stop that is broken off and reversed at once, until its first speed is back.

    (v^2 - v_b^2) / (2 a_dec) + (v^2 - v_b^2) / (2 a_acc), where v_b is the speed at the break; a break after
    standstill counts as one at standstill.

    Raises ValueError if a rate is not positive.
    Source: textbook kinematics, s = (v^2 - v_b^2) / (2 a).
    """
    require_positive("deceleration_m_per_s2", deceleration_m_per_s2)
    require_positive("acceleration_m_per_s2", acceleration_m_per_s2)
    lowest_m_per_s = max(0.0, speed_m_per_s - deceleration_m_per_s2 * broken_off_at_s)
    squares = (speed_m_per_s - lowest_m_per_s) * (speed_m_per_s + lowest_m_per_s)
    return squares / (2 * deceleration_m_per_s2) + squares / (2 * acceleration_m_per_s2)


def _shortened(phase: Phase, duration_s: float) -> Phase:
    return Phase(
        duration_s=duration_s,
        acceleration_m_per_s2=phase.acceleration_m_per_s2,
        jerk_m_per_s3=phase.jerk_m_per_s3,
    )
