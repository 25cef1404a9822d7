"""The accumulator (festoon): fixed rollers, a moving carriage, and the web going to and fro between them.

Every strand grows by the travel of the carriage, so content = strands x travel, counted from the carriage
position at which the accumulator holds nothing to give. A level is a fraction of the
stroke: 0 empty, 1 full.
"""

import math
from dataclasses import dataclass

from seqcheck.web.positive import require_positive

STANDARD_GRAVITY_M_PER_S2 = 9.80665  # ISO 80000-3; conventional value


@dataclass(frozen=True, slots=True, kw_only=True)
class Accumulator:
    """Number of moving strands and usable carriage stroke."""

    strands: int
    stroke_m: float

    def __post_init__(self) -> None:
        """Refuse an accumulator that can hold nothing."""
        if self.strands < 1 or not self.stroke_m > 0:
            raise ValueError(f"no accumulator has {self.strands} strands and a stroke of {self.stroke_m} m")

    @property
    def capacity_m(self) -> float:
        """Length of web from empty to full."""
        return self.strands * self.stroke_m


def content_m(*, strands: int, carriage_travel_m: float) -> float:
    """Length of web stored: strands x carriage travel.

    Source: geometry; common practice.
    """
    return strands * carriage_travel_m


def carriage_travel_m(*, strands: int, content_m: float) -> float:
    """Carriage travel that stores `content_m`.

    Source: the inverse of `content_m`.
    """
    return content_m / strands


def carriage_speed_m_per_s(
    *, strands: int, infeed_speed_m_per_s: float, outfeed_speed_m_per_s: float
) -> float:
    """Speed of the carriage, positive while the accumulator fills: (v_in - v_out) / strands.

    Source: derivative of content = strands x travel; accumulator papers, 2000-2004 (from memory).
    """
    return (infeed_speed_m_per_s - outfeed_speed_m_per_s) / strands


def content_at_level_m(accumulator: Accumulator, level: float) -> float:
    """Length of web stored at a level between 0 (empty) and 1 (full).

    Source: `content_m`.
    """
    return accumulator.capacity_m * level


def level_at_content(accumulator: Accumulator, content_m: float) -> float:
    """Level at which `content_m` is stored; below 0 or above 1 where it does not fit.

    Source: the inverse of `content_at_level_m`.
    """
    return content_m / accumulator.capacity_m


def content_after_m(
    *, content_m: float, infeed_speed_m_per_s: float, outfeed_speed_m_per_s: float, duration_s: float
) -> float:
    """Content after `duration_s` of steady speeds: what was there, plus what came, less what went.

    Source: conservation of length.
    """
    return content_m + (infeed_speed_m_per_s - outfeed_speed_m_per_s) * duration_s


def time_to_content_s(
    *, content_m: float, limit_m: float, infeed_speed_m_per_s: float, outfeed_speed_m_per_s: float
) -> float:
    """Time until steady speeds bring the content to `limit_m`; infinite if they lead away from it or nowhere.

    Source: the inverse of `content_after_m`.
    """
    missing_m = limit_m - content_m
    net_m_per_s = infeed_speed_m_per_s - outfeed_speed_m_per_s
    if missing_m == 0:
        return 0.0
    if net_m_per_s == 0 or (missing_m > 0) != (net_m_per_s > 0):
        return math.inf
    return missing_m / net_m_per_s


def refill_time_s(*, deficit_m: float, line_speed_m_per_s: float, overspeed: float) -> float:
    """Time to bring `deficit_m` back while the line runs: deficit / (overspeed x line speed).

    `overspeed` is a fraction of line speed (0.15 for 15 %). The ramps to and from overspeed are not in it:
    each linear one adds half its own length of time.

    Raises ValueError if overspeed or line speed is not positive: the accumulator would never fill.
    Source: conservation of length.
    """
    if not overspeed * line_speed_m_per_s > 0:
        raise ValueError(f"never fills: overspeed {overspeed} of a line speed of {line_speed_m_per_s} m/s")
    return deficit_m / (overspeed * line_speed_m_per_s)


def fill_time_s(
    accumulator: Accumulator,
    *,
    from_level: float,
    to_level: float,
    line_speed_m_per_s: float,
    overspeed: float,
) -> float:
    """Time to fill from one level to a higher one at overspeed, ramps not counted (see `refill_time_s`).

    Raises ValueError if overspeed or line speed is not positive, or `to_level` lies below `from_level`.
    Source: `refill_time_s`.
    """
    if to_level < from_level:
        raise ValueError(f"filling from level {from_level} cannot end at the lower level {to_level}")
    deficit_m = content_at_level_m(accumulator, to_level - from_level)
    return refill_time_s(deficit_m=deficit_m, line_speed_m_per_s=line_speed_m_per_s, overspeed=overspeed)


def required_stroke_m(*, draw_m: float, strands: int, usable: float = 1.0) -> float:
    """Stroke that yields `draw_m` from the fraction `usable` of it (filled level less reserve).

    Raises ValueError if `usable` does not lie above 0 and at most 1, or there is no strand.
    Source: `content_m`.
    """
    _require_usable(usable)
    if strands < 1:
        raise ValueError(f"no accumulator has {strands} strands")
    return draw_m / (strands * usable)


def required_strands(*, draw_m: float, stroke_m: float, usable: float = 1.0) -> int:
    """Least whole number of strands that yields `draw_m` from the fraction `usable` of the stroke.

    Raises ValueError if `usable` does not lie above 0 and at most 1, or the stroke is not positive.
    Source: `content_m`.
    """
    _require_usable(usable)
    require_positive("stroke_m", stroke_m)
    return max(1, math.ceil(draw_m / (stroke_m * usable)))


def carriage_force_n(
    *,
    strands: int,
    tension_n: float,
    carriage_mass_kg: float = 0.0,
    carriage_acceleration_m_per_s2: float = 0.0,
    drag_n: float = 0.0,
) -> float:
    """Force that holds or moves a carriage which fills upwards: N T + m (g + a) + drag.

    Acceleration is positive in the filling direction; drag is positive while filling, negative while
    emptying. For a carriage that moves level give its weight as nothing: `carriage_mass_kg` 0, and m a in
    `drag_n`.

    Source: balance of forces; N T plus weight and drag is common practice.
    """
    weight_n = carriage_mass_kg * (STANDARD_GRAVITY_M_PER_S2 + carriage_acceleration_m_per_s2)
    return strands * tension_n + weight_n + drag_n


def average_tension_rate_n_per_s(
    accumulator: Accumulator,
    *,
    stiffness_n: float,
    strand_length_m: float,
    carriage_speed_m_per_s: float,
    infeed_speed_m_per_s: float,
    outfeed_speed_m_per_s: float,
) -> float:
    """Rate of the mean strand tension: (EA / x) (v_c + (v_out - v_in) / N); zero where the carriage keeps up.

    `stiffness_n` is EA of the web, `strand_length_m` the length x of one strand.

    Raises ValueError if the strand length is not positive.
    Source: accumulator papers, 2000-2004 (average model; from memory).
    """
    require_positive("strand_length_m", strand_length_m)
    pulled_m_per_s = (outfeed_speed_m_per_s - infeed_speed_m_per_s) / accumulator.strands
    return stiffness_n / strand_length_m * (carriage_speed_m_per_s + pulled_m_per_s)


def _require_usable(usable: float) -> None:
    if not 0 < usable <= 1:
        raise ValueError(f"usable fraction must lie above 0 and at most 1, found {usable}")
