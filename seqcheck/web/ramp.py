"""How a driven web gets from one speed to another: linear ramps, S-curves, and ramps that are broken off.

A speed profile is a start speed and a row of phases, each of constant jerk. A linear ramp is one phase
without jerk, an S-curve is three: the acceleration is built up, held, and let go. After its last phase a
profile holds its speed.
"""

import math
from dataclasses import dataclass

from seqcheck.web.positive import require_positive

SPEED_TOLERANCE = 1e-9  # relative; profiles are joined where the speeds agree to rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """A stretch of time with constant jerk; the acceleration given is the one at its beginning."""

    duration_s: float
    acceleration_m_per_s2: float
    jerk_m_per_s3: float = 0.0


@dataclass(frozen=True, slots=True)
class Profile:
    """A start speed and the phases that follow. No phase: the speed is constant."""

    start_speed_m_per_s: float
    phases: tuple[Phase, ...] = ()

    @property
    def duration_s(self) -> float:
        """Time from the start until the speed is constant."""
        return sum(phase.duration_s for phase in self.phases)


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """Where a profile is at one time: distance since its start, speed and acceleration."""

    distance_m: float
    speed_m_per_s: float
    acceleration_m_per_s2: float


def linear_ramp(*, start_speed_m_per_s: float, end_speed_m_per_s: float, duration_s: float) -> Profile:
    """Ramp of constant acceleration that takes `duration_s`; a duration of 0 is a step to the end speed.

    Raises ValueError if the duration is negative.
    Source: textbook kinematics.
    """
    if duration_s < 0:
        raise ValueError(f"a ramp cannot last {duration_s} s")
    if duration_s == 0:
        return Profile(end_speed_m_per_s)
    acceleration_m_per_s2 = (end_speed_m_per_s - start_speed_m_per_s) / duration_s
    phase = Phase(duration_s=duration_s, acceleration_m_per_s2=acceleration_m_per_s2)
    return Profile(start_speed_m_per_s, (phase,))


def linear_ramp_at_rate(
    *, start_speed_m_per_s: float, end_speed_m_per_s: float, rate_m_per_s2: float
) -> Profile:
    """Ramp of constant acceleration of size `rate_m_per_s2` (positive, whichever way the speed goes).

    Raises ValueError if the rate is not positive.
    Source: textbook kinematics, t = dv / a.
    """
    require_positive("rate_m_per_s2", rate_m_per_s2)
    return linear_ramp(
        start_speed_m_per_s=start_speed_m_per_s,
        end_speed_m_per_s=end_speed_m_per_s,
        duration_s=abs(end_speed_m_per_s - start_speed_m_per_s) / rate_m_per_s2,
    )


def s_curve_ramp(
    *, start_speed_m_per_s: float, end_speed_m_per_s: float, duration_s: float, rounding: float
) -> Profile:
    """S-curve that takes `duration_s`, of which the fraction `rounding` is spent in each of its two rounded
    ends.

    `rounding` lies above 0 (almost linear) and at most 1/2 (no straight part); 1/3 is the S-curve of thirds.

    Raises ValueError if the duration or the rounding is out of range.
    Source: dv is the area under the acceleration, a trapezoid of height a: dv = a (T - t_j), j = a / t_j.
    """
    require_positive("duration_s", duration_s)
    if not 0 < rounding <= 0.5:
        raise ValueError(f"rounding must lie above 0 and at most 0.5, found {rounding}")
    change_m_per_s = end_speed_m_per_s - start_speed_m_per_s
    return _three_phases(
        start_speed_m_per_s=start_speed_m_per_s,
        jerk_time_s=rounding * duration_s,
        straight_time_s=(1 - 2 * rounding) * duration_s,
        peak_m_per_s2=change_m_per_s / ((1 - rounding) * duration_s),
    )


def jerk_limited_ramp(
    *, start_speed_m_per_s: float, end_speed_m_per_s: float, rate_m_per_s2: float, jerk_m_per_s3: float
) -> Profile:
    """Fastest S-curve within the given sizes (positive) of acceleration and jerk.

    Raises ValueError if rate or jerk is not positive.
    Source: general jerk-limited ramp (from memory): with dv >= a^2 / j the rate is reached, else it peaks at
    sqrt(dv j).
    """
    require_positive("rate_m_per_s2", rate_m_per_s2)
    require_positive("jerk_m_per_s3", jerk_m_per_s3)
    change_m_per_s = end_speed_m_per_s - start_speed_m_per_s
    size_m_per_s = abs(change_m_per_s)
    peak_m_per_s2 = min(rate_m_per_s2, math.sqrt(size_m_per_s * jerk_m_per_s3))
    if peak_m_per_s2 == 0:
        return Profile(end_speed_m_per_s)
    jerk_time_s = peak_m_per_s2 / jerk_m_per_s3
    return _three_phases(
        start_speed_m_per_s=start_speed_m_per_s,
        jerk_time_s=jerk_time_s,
        straight_time_s=max(0.0, size_m_per_s / peak_m_per_s2 - jerk_time_s),
        peak_m_per_s2=math.copysign(peak_m_per_s2, change_m_per_s),
    )


def jerk_limited_ramp_time_s(
    *, speed_change_m_per_s: float, rate_m_per_s2: float, jerk_m_per_s3: float
) -> float:
    """Shortest time for a change of speed: dv / a + a / j where dv >= a^2 / j, else 2 sqrt(dv / j).

    Raises ValueError if rate or jerk is not positive.
    Source: general jerk-limited ramp (from memory), in agreement with the S-curve of thirds.
    """
    require_positive("rate_m_per_s2", rate_m_per_s2)
    require_positive("jerk_m_per_s3", jerk_m_per_s3)
    size_m_per_s = abs(speed_change_m_per_s)
    if size_m_per_s >= rate_m_per_s2**2 / jerk_m_per_s3:
        return size_m_per_s / rate_m_per_s2 + rate_m_per_s2 / jerk_m_per_s3
    return 2 * math.sqrt(size_m_per_s / jerk_m_per_s3)


def motion_at(profile: Profile, time_s: float) -> Motion:
    """Distance, speed and acceleration `time_s` after the start; at a joint, the acceleration just before it.

    Raises ValueError if the time is negative.
    Source: three integrations of constant jerk.
    """
    if time_s < 0:
        raise ValueError(f"time before the start of the ramp: {time_s} s")
    motion = Motion(distance_m=0.0, speed_m_per_s=profile.start_speed_m_per_s, acceleration_m_per_s2=0.0)
    for phase in profile.phases:
        motion = _advanced(motion, phase, min(time_s, phase.duration_s))
        time_s -= phase.duration_s
        if time_s <= 0:
            return motion
    return _advanced(motion, Phase(duration_s=time_s, acceleration_m_per_s2=0.0), time_s)


def end_of(profile: Profile) -> Motion:
    """Distance and speed where the last phase ends, acceleration just before the end.

    Source: `motion_at`.
    """
    return motion_at(profile, profile.duration_s)


def stopping_time_s(*, speed_m_per_s: float, deceleration_m_per_s2: float, dead_time_s: float = 0.0) -> float:
    """Time from the command to standstill: t0 + v / a.

    Raises ValueError if the deceleration is not positive.
    Source: textbook kinematics.
    """
    require_positive("deceleration_m_per_s2", deceleration_m_per_s2)
    return dead_time_s + speed_m_per_s / deceleration_m_per_s2


def stopping_distance_m(
    *, speed_m_per_s: float, deceleration_m_per_s2: float, dead_time_s: float = 0.0
) -> float:
    """Distance from the command to standstill: v t0 + v^2 / (2 a).

    Raises ValueError if the deceleration is not positive.
    Source: textbook kinematics.
    """
    require_positive("deceleration_m_per_s2", deceleration_m_per_s2)
    return speed_m_per_s * dead_time_s + speed_m_per_s**2 / (2 * deceleration_m_per_s2)


def joined(first: Profile, second: Profile) -> Profile:
    """`first`, then `second`.

    Raises ValueError if the second does not begin at the speed at which the first ends.
    Source: definition.
    """
    reached = end_of(first).speed_m_per_s
    scale = max(abs(first.start_speed_m_per_s), abs(reached), abs(second.start_speed_m_per_s))
    if abs(reached - second.start_speed_m_per_s) > SPEED_TOLERANCE * scale:
        raise ValueError(f"a ramp from {second.start_speed_m_per_s} m/s cannot follow one to {reached} m/s")
    return Profile(first.start_speed_m_per_s, first.phases + second.phases)


def _three_phases(
    *, start_speed_m_per_s: float, jerk_time_s: float, straight_time_s: float, peak_m_per_s2: float
) -> Profile:
    jerk_m_per_s3 = peak_m_per_s2 / jerk_time_s
    build = Phase(duration_s=jerk_time_s, acceleration_m_per_s2=0.0, jerk_m_per_s3=jerk_m_per_s3)
    hold = Phase(duration_s=straight_time_s, acceleration_m_per_s2=peak_m_per_s2)
    let_go = Phase(duration_s=jerk_time_s, acceleration_m_per_s2=peak_m_per_s2, jerk_m_per_s3=-jerk_m_per_s3)
    return Profile(start_speed_m_per_s, (build, hold, let_go))


def _advanced(motion: Motion, phase: Phase, time_s: float) -> Motion:
    speed, acceleration, jerk = motion.speed_m_per_s, phase.acceleration_m_per_s2, phase.jerk_m_per_s3
    travelled_m = time_s * (speed + time_s * (acceleration / 2 + time_s * jerk / 6))
    return Motion(
        distance_m=motion.distance_m + travelled_m,
        speed_m_per_s=speed + time_s * (acceleration + time_s * jerk / 2),
        acceleration_m_per_s2=acceleration + jerk * time_s,
    )
