"""What rollers do to tension: inertia, drag, grip, and the dancer that hangs in the web."""

import math

from seqcheck.web.positive import require_positive


def roller_acceleration_force_n(
    *, inertia_kg_m2: float, radius_m: float, web_acceleration_m_per_s2: float
) -> float:
    """Tension the web loses in speeding up one idler: J a / R^2 (about m a for a thin shell).

    Raises ValueError if the radius is not positive.
    Source: standard mechanics (from memory).
    """
    require_positive("radius_m", radius_m)
    return inertia_kg_m2 * web_acceleration_m_per_s2 / radius_m**2


def bearing_drag_force_n(*, drag_torque_n_m: float, radius_m: float) -> float:
    """Tension the web loses to the bearings of one idler: M / R. Along a path the losses add.

    Raises ValueError if the radius is not positive.
    Source: standard mechanics (from memory).
    """
    require_positive("radius_m", radius_m)
    return drag_torque_n_m / radius_m


def highest_tension_n(*, low_tension_n: float, friction: float, wrap_angle_rad: float) -> float:
    """Highest tension on one side of a roller before the web slips, from that on the other: T exp(mu theta).

    Source: capstan (belt friction) equation, convertingblog.com 000054.
    """
    return low_tension_n * math.exp(friction * wrap_angle_rad)


def holding_tension_n(*, high_tension_n: float, friction: float, wrap_angle_rad: float) -> float:
    """Least tension on the slack side that keeps the web from slipping: T exp(-mu theta).

    Source: the inverse of `highest_tension_n`.
    """
    return high_tension_n * math.exp(-friction * wrap_angle_rad)


def dancer_tension_n(*, load_n: float, wrap_angle_rad: float = math.pi) -> float:
    """Web tension that balances the load on a dancer roller: load / (2 sin(theta / 2)); half the load at 180
    degrees.

    Raises ValueError if the wrap does not lie above 0 and below a full turn.
    Source: balance of forces on the roller; half the load, webhandling.com/tension-questions-04.
    """
    if not 0 < wrap_angle_rad < 2 * math.pi:
        raise ValueError(f"wrap angle must lie above 0 and below 2 pi rad, found {wrap_angle_rad}")
    return load_n / (2 * math.sin(wrap_angle_rad / 2))


def dancer_speed_m_per_s(*, entry_speed_m_per_s: float, exit_speed_m_per_s: float) -> float:
    """Speed of a dancer with two parallel strands, positive while it takes web in: (v1 - v2) / 2.

    Source: an accumulator of two strands.
    """
    return (entry_speed_m_per_s - exit_speed_m_per_s) / 2
