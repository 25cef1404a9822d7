"""Moves from standstill to standstill over a known distance in a known time: thirds, S-curve thirds,
triangle."""

from dataclasses import dataclass

from seqcheck.web.positive import require_positive
from seqcheck.web.ramp import Profile, joined, linear_ramp, s_curve_ramp


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """Peak figures of a move, and its speed profile. A jerk of None: the jerk is not limited."""

    peak_speed_m_per_s: float
    acceleration_m_per_s2: float
    jerk_m_per_s3: float | None
    profile: Profile


def trapezoid_of_thirds(*, distance_m: float, duration_s: float) -> Move:
    """A third of the time each to speed up, run and slow down: v = 1.5 dx / dt, a = 4.5 dx / dt^2.

    Raises ValueError if the duration is not positive.
    Source: a trade article on motion profiles (trapezoid of thirds).
    """
    require_positive("duration_s", duration_s)
    peak_m_per_s = 1.5 * distance_m / duration_s
    up = linear_ramp(start_speed_m_per_s=0.0, end_speed_m_per_s=peak_m_per_s, duration_s=duration_s / 3)
    return Move(
        peak_speed_m_per_s=peak_m_per_s,
        acceleration_m_per_s2=4.5 * distance_m / duration_s**2,
        jerk_m_per_s3=None,
        profile=_up_run_down(up, peak_m_per_s, duration_s / 3, _linear_down(peak_m_per_s, duration_s / 3)),
    )


def s_curve_of_thirds(*, distance_m: float, duration_s: float) -> Move:
    """Thirds again, and thirds inside each ramp: a = (27/4) dx / dt^2, j = (243/4) dx / dt^3.

    Raises ValueError if the duration is not positive.
    Source: a trade article on motion profiles (S-curve of thirds).
    """
    require_positive("duration_s", duration_s)
    peak_m_per_s, third_s = 1.5 * distance_m / duration_s, duration_s / 3
    up = s_curve_ramp(
        start_speed_m_per_s=0.0, end_speed_m_per_s=peak_m_per_s, duration_s=third_s, rounding=1 / 3
    )
    down = s_curve_ramp(
        start_speed_m_per_s=peak_m_per_s, end_speed_m_per_s=0.0, duration_s=third_s, rounding=1 / 3
    )
    return Move(
        peak_speed_m_per_s=peak_m_per_s,
        acceleration_m_per_s2=27 / 4 * distance_m / duration_s**2,
        jerk_m_per_s3=243 / 4 * distance_m / duration_s**3,
        profile=_up_run_down(up, peak_m_per_s, third_s, down),
    )


def triangle(*, distance_m: float, duration_s: float) -> Move:
    """Half the time to speed up and half to slow down: v = 2 dx / dt, a = 4 dx / dt^2.

    Raises ValueError if the duration is not positive.
    Source: a trade article on triangular motion profiles; the area of a triangle.
    """
    require_positive("duration_s", duration_s)
    peak_m_per_s, half_s = 2 * distance_m / duration_s, duration_s / 2
    up = linear_ramp(start_speed_m_per_s=0.0, end_speed_m_per_s=peak_m_per_s, duration_s=half_s)
    return Move(
        peak_speed_m_per_s=peak_m_per_s,
        acceleration_m_per_s2=4 * distance_m / duration_s**2,
        jerk_m_per_s3=None,
        profile=joined(up, _linear_down(peak_m_per_s, half_s)),
    )


def _linear_down(speed_m_per_s: float, duration_s: float) -> Profile:
    return linear_ramp(start_speed_m_per_s=speed_m_per_s, end_speed_m_per_s=0.0, duration_s=duration_s)


def _up_run_down(up: Profile, speed_m_per_s: float, run_s: float, down: Profile) -> Profile:
    run = linear_ramp(start_speed_m_per_s=speed_m_per_s, end_speed_m_per_s=speed_m_per_s, duration_s=run_s)
    return joined(joined(up, run), down)
