"""Brake or motor at the unwind: the torque that a tension needs, and the tension that a torque gives.

The web pulls at the surface of the roll, the brake holds at its shaft, and what is left over turns the roll
faster:

    T r - M = J alpha

M is positive when it holds the roll back; a negative M means that a motor must drive. alpha is positive when
the roll speeds up. So a stop (alpha < 0) needs M = T r + J |alpha|, and a restart at a constant brake pulls T
r = M + J alpha.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from seqcheck.web.positive import require_positive
from seqcheck.web.roll import Roll, angular_acceleration_rad_per_s2, roll_inertia_kg_m2


@dataclass(frozen=True, slots=True, kw_only=True)
class UnwindPoint:
    """Torque and tension at one diameter of the roll during a ramp."""

    diameter_m: float
    inertia_kg_m2: float
    brake_torque_n_m: float
    tension_n: float


def brake_torque_n_m(
    *,
    tension_n: float,
    diameter_m: float,
    inertia_kg_m2: float = 0.0,
    angular_acceleration_rad_per_s2: float = 0.0,
) -> float:
    """Brake torque that keeps `tension_n` in the web: M = T r - J alpha (so T r + J |alpha| in a stop).

    Negative: the roll must be driven, a brake alone would let the tension rise.

    Source: angular momentum of the roll (module docstring); web that leaves takes its own momentum along.
    """
    return tension_n * diameter_m / 2 - inertia_kg_m2 * angular_acceleration_rad_per_s2


def unwind_tension_n(
    *,
    brake_torque_n_m: float,
    diameter_m: float,
    inertia_kg_m2: float = 0.0,
    angular_acceleration_rad_per_s2: float = 0.0,
) -> float:
    """Web tension at a given brake torque: T = (M + J alpha) / r. Negative: the roll overruns.

    Raises ValueError if the diameter is not positive.
    Source: the inverse of `brake_torque_n_m`.
    """
    require_positive("diameter_m", diameter_m)
    return 2 * (brake_torque_n_m + inertia_kg_m2 * angular_acceleration_rad_per_s2) / diameter_m


def unwind_angular_acceleration_rad_per_s2(
    *, tension_n: float, diameter_m: float, brake_torque_n_m: float, inertia_kg_m2: float
) -> float:
    """Angular acceleration of a roll that is pulled and braked: (T r - M) / J. Without pull it coasts.

    Raises ValueError if the inertia is not positive.
    Source: module docstring.
    """
    require_positive("inertia_kg_m2", inertia_kg_m2)
    return (tension_n * diameter_m / 2 - brake_torque_n_m) / inertia_kg_m2


def stopping_torque_n_m(*, inertia_kg_m2: float, angular_speed_rad_per_s: float, duration_s: float) -> float:
    """Torque that stops a turning roll in `duration_s`, web tension apart: J omega / t.

    Raises ValueError if the duration is not positive.
    Source: J alpha; printed as WK2 rpm / (308 t) in pound-feet (magnetic-brake engineering calculations).
    """
    require_positive("duration_s", duration_s)
    return inertia_kg_m2 * angular_speed_rad_per_s / duration_s


def brake_power_w(*, torque_n_m: float, angular_speed_rad_per_s: float) -> float:
    """Heat in the brake: M omega; in steady running this is tension x web speed.

    Source: definition of power.
    """
    return torque_n_m * angular_speed_rad_per_s


def brake_along_roll(
    roll: Roll,
    *,
    diameters_m: Sequence[float],
    tension_n: float,
    web_speed_m_per_s: float,
    web_acceleration_m_per_s2: float,
) -> tuple[UnwindPoint, ...]:
    """Brake torque needed at each diameter to keep `tension_n` in a ramp; acceleration is negative in a stop.

    Raises ValueError if a diameter is smaller than the core.
    Source: `brake_torque_n_m`, `roll_inertia_kg_m2`.
    """
    points: list[UnwindPoint] = []
    for diameter_m in diameters_m:
        inertia = roll_inertia_kg_m2(roll, diameter_m)
        torque = brake_torque_n_m(
            tension_n=tension_n,
            diameter_m=diameter_m,
            inertia_kg_m2=inertia,
            angular_acceleration_rad_per_s2=_turning(
                roll, diameter_m, web_speed_m_per_s, web_acceleration_m_per_s2
            ),
        )
        points.append(
            UnwindPoint(
                diameter_m=diameter_m, inertia_kg_m2=inertia, brake_torque_n_m=torque, tension_n=tension_n
            )
        )
    return tuple(points)


def tension_along_roll(
    roll: Roll,
    *,
    diameters_m: Sequence[float],
    brake_torque_n_m: float,
    web_speed_m_per_s: float,
    web_acceleration_m_per_s2: float,
) -> tuple[UnwindPoint, ...]:
    """Web tension at each diameter when the brake torque stays as it is; acceleration is negative in a stop.

    Raises ValueError if a diameter is smaller than the core.
    Source: `unwind_tension_n`, `roll_inertia_kg_m2`.
    """
    points: list[UnwindPoint] = []
    for diameter_m in diameters_m:
        inertia = roll_inertia_kg_m2(roll, diameter_m)
        tension = unwind_tension_n(
            brake_torque_n_m=brake_torque_n_m,
            diameter_m=diameter_m,
            inertia_kg_m2=inertia,
            angular_acceleration_rad_per_s2=_turning(
                roll, diameter_m, web_speed_m_per_s, web_acceleration_m_per_s2
            ),
        )
        points.append(
            UnwindPoint(
                diameter_m=diameter_m,
                inertia_kg_m2=inertia,
                brake_torque_n_m=brake_torque_n_m,
                tension_n=tension,
            )
        )
    return tuple(points)


def _turning(roll: Roll, diameter_m: float, speed_m_per_s: float, acceleration_m_per_s2: float) -> float:
    return angular_acceleration_rad_per_s2(
        web_acceleration_m_per_s2=acceleration_m_per_s2,
        web_speed_m_per_s=speed_m_per_s,
        diameter_m=diameter_m,
        caliper_m=roll.caliper_m,
    )
