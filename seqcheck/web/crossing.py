"""When something that moves at constant acceleration has gone a distance."""

import math


def time_to_go_s(distance_m: float, *, speed_m_per_s: float, acceleration_m_per_s2: float) -> float:
    """The first time, not negative, at which v t + a t^2 / 2 equals `distance_m`; infinite if it never does.

    Source: textbook kinematics; the root is taken in the form that loses no digits.
    """
    if distance_m == 0:
        return 0.0
    if distance_m < 0:
        return time_to_go_s(
            -distance_m, speed_m_per_s=-speed_m_per_s, acceleration_m_per_s2=-acceleration_m_per_s2
        )
    if acceleration_m_per_s2 == 0:
        return distance_m / speed_m_per_s if speed_m_per_s > 0 else math.inf
    square = speed_m_per_s**2 + 2 * acceleration_m_per_s2 * distance_m
    if square < 0 or (speed_m_per_s <= 0 and acceleration_m_per_s2 < 0):
        return math.inf
    return _first_root_s(distance_m, speed_m_per_s, acceleration_m_per_s2, math.sqrt(square))


def _first_root_s(distance_m: float, speed_m_per_s: float, acceleration_m_per_s2: float, root: float) -> float:
    if speed_m_per_s >= 0:
        return 2 * distance_m / (speed_m_per_s + root)
    return (root - speed_m_per_s) / acceleration_m_per_s2
