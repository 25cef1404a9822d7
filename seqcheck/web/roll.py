"""A wound roll: a spiral of web on a core, seen as a hollow cylinder.

Seen from the end, the web lies edge on: its length times its caliper is the area of the ring between core and
outside. Length, mass and inertia all follow from that one picture. Diameters are in metres, the caliper is
the thickness of one layer *as wound* (air between the layers included), so back-calculate it from a roll of
known length where one is at hand.
"""

import math
from dataclasses import dataclass

from seqcheck.web.positive import require_positive

RADIANS_PER_SECOND_PER_RPM = 2 * math.pi / 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Roll:
    """What a roll is wound from. `core_inertia_kg_m2`: core, shaft and chuck; 0 leaves them out."""

    core_diameter_m: float
    caliper_m: float
    width_m: float
    grammage_kg_per_m2: float
    core_inertia_kg_m2: float = 0.0


def wound_length_m(*, outside_diameter_m: float, core_diameter_m: float, caliper_m: float) -> float:
    """Length of web on a roll: L = pi (D^2 - d^2) / (4 h).

    Raises ValueError if the caliper is not positive or the outside is smaller than the core.
    Source: area of the end of the roll divided by the caliper (plane geometry).
    """
    require_positive("caliper_m", caliper_m)
    if outside_diameter_m < core_diameter_m:
        raise ValueError(
            f"outside diameter {outside_diameter_m} m is smaller than the core, {core_diameter_m} m"
        )
    return math.pi * _difference_of_squares(outside_diameter_m, core_diameter_m) / (4 * caliper_m)


def diameter_from_length_m(*, remaining_length_m: float, core_diameter_m: float, caliper_m: float) -> float:
    """Outside diameter of a roll that still holds `remaining_length_m`: D^2 = d^2 + 4 h L / pi.

    Also the diameter at which a splice must be armed, if the length is what is used up from arming until the
    cut, and the tail that is to stay on the core.

    Raises ValueError if the remaining length is negative.
    Source: the inverse of `wound_length_m`.
    """
    if remaining_length_m < 0:
        raise ValueError(f"remaining length is negative: {remaining_length_m} m")
    return math.sqrt(core_diameter_m**2 + 4 * caliper_m * remaining_length_m / math.pi)


def diameter_after_unwinding_m(*, diameter_m: float, unwound_length_m: float, caliper_m: float) -> float:
    """Diameter left after `unwound_length_m` was taken from a roll: D'^2 = D^2 - 4 h L / pi.

    Raises ValueError if the roll does not hold that much web, even wound down to nothing.
    Source: the inverse of `wound_length_m`.
    """
    square_m2 = diameter_m**2 - 4 * caliper_m * unwound_length_m / math.pi
    if square_m2 < 0:
        raise ValueError(f"a roll of {diameter_m} m does not hold {unwound_length_m} m of {caliper_m} m web")
    return math.sqrt(square_m2)


def tail_length_m(*, remaining_when_armed_m: float, used_until_cut_m: float) -> float:
    """Length left on the core after the cut; negative when the roll runs out before the splice.

    Source: bookkeeping of length.
    """
    return remaining_when_armed_m - used_until_cut_m


def caliper_from_length_m(*, outside_diameter_m: float, core_diameter_m: float, length_m: float) -> float:
    """Wound caliper of a roll of known length: h = pi (D^2 - d^2) / (4 L).

    Raises ValueError if the length is not positive.
    Source: the inverse of `wound_length_m`.
    """
    require_positive("length_m", length_m)
    return math.pi * _difference_of_squares(outside_diameter_m, core_diameter_m) / (4 * length_m)


def layers(*, outside_diameter_m: float, core_diameter_m: float, caliper_m: float) -> float:
    """Turns of web between core and outside: (D - d) / (2 h).

    Raises ValueError if the caliper is not positive.
    Source: each turn adds one caliper to the radius.
    """
    require_positive("caliper_m", caliper_m)
    return (outside_diameter_m - core_diameter_m) / (2 * caliper_m)


def revolutions_for_length(*, diameter_m: float, unwound_length_m: float, caliper_m: float) -> float:
    """Turns the roll makes while `unwound_length_m` leaves it: L divided by the mean turn, pi (D + D') / 2.

    Written without the caliper in the divisor, so that it stays exact as the caliper goes to zero.

    Raises ValueError if the roll does not hold that much web, or has no diameter.
    Source: turns (D - D') / (2 h), with D - D' = (D^2 - D'^2) / (D + D').
    """
    require_positive("diameter_m", diameter_m)
    left_m = diameter_after_unwinding_m(
        diameter_m=diameter_m, unwound_length_m=unwound_length_m, caliper_m=caliper_m
    )
    return 2 * unwound_length_m / (math.pi * (diameter_m + left_m))


def web_mass_kg(*, length_m: float, width_m: float, grammage_kg_per_m2: float) -> float:
    """Mass of a length of web: length x width x grammage (kg/m2, not g/m2).

    Source: definition of grammage (mass per unit area, ISO 536).
    """
    return length_m * width_m * grammage_kg_per_m2


def cylinder_mass_kg(
    *, outside_diameter_m: float, inside_diameter_m: float, width_m: float, density_kg_per_m3: float
) -> float:
    """Mass of a hollow cylinder: rho w pi (D^2 - d^2) / 4; an inside diameter of 0 makes it solid.

    Source: volume of a hollow cylinder.
    """
    area_m2 = math.pi * _difference_of_squares(outside_diameter_m, inside_diameter_m) / 4
    return density_kg_per_m3 * width_m * area_m2


def cylinder_inertia_kg_m2(*, mass_kg: float, outside_diameter_m: float, inside_diameter_m: float) -> float:
    """Inertia of a hollow cylinder about its axis: J = m (D^2 + d^2) / 8; solid where d is 0.

    Source: standard mechanics (second moment of a ring).
    """
    return mass_kg * (outside_diameter_m**2 + inside_diameter_m**2) / 8


def roll_mass_kg(roll: Roll, diameter_m: float) -> float:
    """Mass of the web on `roll` at `diameter_m`, without the core.

    Raises ValueError if the diameter is smaller than the core.
    Source: `wound_length_m` and `web_mass_kg`.
    """
    length_m = wound_length_m(
        outside_diameter_m=diameter_m, core_diameter_m=roll.core_diameter_m, caliper_m=roll.caliper_m
    )
    return web_mass_kg(length_m=length_m, width_m=roll.width_m, grammage_kg_per_m2=roll.grammage_kg_per_m2)


def roll_inertia_kg_m2(roll: Roll, diameter_m: float) -> float:
    """Inertia of `roll` at `diameter_m`: the wound ring, and the core where its inertia is given.

    Raises ValueError if the diameter is smaller than the core.
    Source: `cylinder_inertia_kg_m2`.
    """
    ring_kg_m2 = cylinder_inertia_kg_m2(
        mass_kg=roll_mass_kg(roll, diameter_m),
        outside_diameter_m=diameter_m,
        inside_diameter_m=roll.core_diameter_m,
    )
    return ring_kg_m2 + roll.core_inertia_kg_m2


def angular_speed_rad_per_s(*, surface_speed_m_per_s: float, diameter_m: float) -> float:
    """Angular speed of a roll whose surface runs at web speed: omega = 2 v / D.

    Raises ValueError if the diameter is not positive.
    Source: definition of angular speed.
    """
    require_positive("diameter_m", diameter_m)
    return 2 * surface_speed_m_per_s / diameter_m


def surface_speed_m_per_s(*, angular_speed_rad_per_s: float, diameter_m: float) -> float:
    """Web speed at the surface of a turning roll: v = omega D / 2.

    Source: definition of angular speed.
    """
    return angular_speed_rad_per_s * diameter_m / 2


def rotational_speed_rpm(*, surface_speed_m_per_s: float, diameter_m: float) -> float:
    """Revolutions per minute of a roll whose surface runs at web speed.

    Raises ValueError if the diameter is not positive.
    Source: `angular_speed_rad_per_s`.
    """
    speed_rad_per_s = angular_speed_rad_per_s(
        surface_speed_m_per_s=surface_speed_m_per_s, diameter_m=diameter_m
    )
    return speed_rad_per_s / RADIANS_PER_SECOND_PER_RPM


def angular_acceleration_rad_per_s2(
    *, web_acceleration_m_per_s2: float, web_speed_m_per_s: float, diameter_m: float, caliper_m: float
) -> float:
    """Angular acceleration of an unwinding roll: a / r + h v^2 / (2 pi r^3).

    The second term is the roll turning ever faster at a steady web speed because it shrinks. It is small on a
    full roll and is not on a core; a caliper of 0 leaves it out.

    Raises ValueError if the diameter is not positive.
    Source: derivative of omega = v / r, with dr/dt = -h v / (2 pi r) (one caliper a turn).
    """
    require_positive("diameter_m", diameter_m)
    radius_m = diameter_m / 2
    shrinking = caliper_m * web_speed_m_per_s**2 / (2 * math.pi * radius_m**3)
    return web_acceleration_m_per_s2 / radius_m + shrinking


def _difference_of_squares(larger_m: float, smaller_m: float) -> float:
    # Factored: D^2 - d^2 would lose digits near the core, where a splice is armed.
    return (larger_m - smaller_m) * (larger_m + smaller_m)
