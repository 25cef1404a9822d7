"""Safety distances as the United States calculate them: in inches, with a hand speed of 63 inches a second."""

from __future__ import annotations

HAND_IN_PER_S = 63.0
"""Hand speed constant. Source: 29 CFR 1910.217(c)(3)(iii)(e)."""
MM_PER_IN = 25.4


def presence_sensing_distance_in(stopping_s: float) -> float:
    """Distance of a presence-sensing device from the point of operation: Ds = 63 Ts.

    Source: 29 CFR 1910.217(c)(3)(iii)(e).
    """
    return HAND_IN_PER_S * stopping_s


def two_hand_trip_distance_in(turn_s: float, engaging_points: int) -> float:
    """Distance of a two-hand trip from the point of operation: Dm = 63 Tm, Tm = (1/2 + 1/points) of the time of one turn.

    Raises ValueError for no engaging point.

    Source: 29 CFR 1910.217(c)(3)(viii)(c).
    """
    if engaging_points < 1:
        raise ValueError(f"expected one engaging point or more, found {engaging_points}")
    return HAND_IN_PER_S * (0.5 + 1 / engaging_points) * turn_s


def penetration_mm(resolution_mm: float) -> float:
    """How far an object gets past a light curtain before it is noticed: Dpf = 3.4 (s - 6.875 mm), for resolutions under 64 mm.

    Raises ValueError for 64 mm and more.

    Source: ANSI B11.19-2003 Annex D (read in three manuals, which print 0.275 in, 0.276 in and 6.875 mm; the last gives the
    greatest distance and is used).
    """
    if resolution_mm >= 64:
        raise ValueError(f"the formula is for resolutions under 64 mm, found {resolution_mm} mm")
    return max(3.4 * (resolution_mm - 6.875), 0.0)


def curtain_distance_in(stopping_s: float, resolution_mm: float) -> float:
    """Distance of a light curtain: Ds = 63 T + Dpf, T the sum of machine, control, device and brake-monitor times.

    Source: ANSI B11.19-2003 Annex D (read in three manuals).
    """
    return HAND_IN_PER_S * stopping_s + penetration_mm(resolution_mm) / MM_PER_IN
