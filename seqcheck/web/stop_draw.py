"""What one splice draws from the accumulator while the unwind stands and the line runs on.

The unwind begins to stop at t0, stands at t1, begins to restart at t2 and is at line speed at t3. The line
takes v (t3 - t0); the two linear ramps still bring v (t1 - t0) / 2 and v (t3 - t2) / 2; the rest comes out of
the accumulator:

    v (t3 - t0) - v (t1 - t0) / 2 - v (t3 - t2) / 2  =  v / 2 ((t2 - t0) + (t3 - t1))

That holds for a steady line, complete linear ramps (or S-curves that are symmetric, with the same mean speed)
and an unwind at line speed at t0. For anything else: the bounds below, or `content_history.py`.
"""

import math
from dataclasses import dataclass

from seqcheck.web.positive import require_positive


@dataclass(frozen=True, slots=True, kw_only=True)
class StopTimes:
    """The four instants of one stop, in seconds on any clock, in order."""

    stop_start_s: float
    standstill_s: float
    restart_s: float
    at_speed_s: float

    def __post_init__(self) -> None:
        """Refuse instants out of order: such a ramp was broken off, and the formula does not hold for it."""
        if not self.stop_start_s <= self.standstill_s <= self.restart_s <= self.at_speed_s:
            raise ValueError(f"the instants of a stop are out of order: {self}")

    @property
    def full_speed_equivalent_s(self) -> float:
        """Time for which an unwind stopped dead would draw the same: ((t2 - t0) + (t3 - t1)) / 2."""
        return ((self.restart_s - self.stop_start_s) + (self.at_speed_s - self.standstill_s)) / 2


def draw_of_stop_m(*, line_speed_m_per_s: float, times: StopTimes) -> float:
    """Length drawn by one stop: v / 2 ((t2 - t0) + (t3 - t1)).

    Source: conservation of length (module docstring).
    """
    return line_speed_m_per_s * times.full_speed_equivalent_s


def draw_of_stop_at_rates_m(
    *,
    line_speed_m_per_s: float,
    deceleration_m_per_s2: float,
    dwell_s: float,
    acceleration_m_per_s2: float,
) -> float:
    """Length drawn by one stop with given ramp rates: v (v / (2 a_dec) + dwell + v / (2 a_acc)).

    Raises ValueError if a rate is not positive.
    Source: `draw_of_stop_m` with t1 - t0 = v / a_dec, t2 - t1 = dwell, t3 - t2 = v / a_acc.
    """
    return line_speed_m_per_s * (
        line_speed_m_per_s * _half_inverse_sum(deceleration_m_per_s2, acceleration_m_per_s2) + dwell_s
    )


def draw_of_stop_from_overspeed_m(
    *, line_speed_m_per_s: float, unwind_speed_m_per_s: float, times: StopTimes
) -> float:
    """Length drawn, from t0 to t3, by a stop that begins at another unwind speed and ends at line speed.

    An unwind faster than the line still fills for a moment after t0: the content then peaks above that at t0
    by `overfill_of_stop_m`.

    Source: the formula of `draw_of_stop_m`, less the extra area (v_u - v) (t1 - t0) / 2 under the stop ramp.
    """
    extra_m_per_s = unwind_speed_m_per_s - line_speed_m_per_s
    extra_m = extra_m_per_s * (times.standstill_s - times.stop_start_s) / 2
    return draw_of_stop_m(line_speed_m_per_s=line_speed_m_per_s, times=times) - extra_m


def overfill_of_stop_m(
    *, line_speed_m_per_s: float, unwind_speed_m_per_s: float, stop_duration_s: float
) -> float:
    """Length still taken in after a stop from overspeed begins, until the unwind has fallen to line speed.

    Nothing for an unwind no faster than the line.

    Source: triangle of height v_u - v and base T (v_u - v) / v_u under a linear stop ramp.
    """
    extra_m_per_s = unwind_speed_m_per_s - line_speed_m_per_s
    if extra_m_per_s <= 0:
        return 0.0
    return extra_m_per_s**2 * stop_duration_s / (2 * unwind_speed_m_per_s)


def draw_bound_of_broken_stop_m(
    *, line_speed_m_per_s: float, first_stop_start_s: float, at_speed_s: float
) -> float:
    """Bound on the draw of broken ramps: the unwind counts as standing from first ramp to at-speed.

    Source: the unwind never runs backwards, so it brings at least nothing.
    """
    return line_speed_m_per_s * (at_speed_s - first_stop_start_s)


def overfill_bound_of_broken_stop_m(
    *, line_speed_m_per_s: float, top_unwind_speed_m_per_s: float, first_ramp_start_s: float, end_s: float
) -> float:
    """Bound on the length taken in when ramps were broken off: the unwind counts as at top speed throughout.

    Source: the unwind never runs faster than its top speed.
    """
    return max(0.0, top_unwind_speed_m_per_s - line_speed_m_per_s) * (end_s - first_ramp_start_s)


def line_stop_length_m(*, line_speed_m_per_s: float, reaction_s: float, stop_duration_s: float) -> float:
    """Length the line still takes while it is brought down: v (reaction + T / 2) for a linear stop.

    What the accumulator must still hold when a fault keeps the unwind from restarting.

    Source: textbook kinematics.
    """
    return line_speed_m_per_s * (reaction_s + stop_duration_s / 2)


def highest_line_speed_m_per_s(*, available_m: float, times: StopTimes) -> float:
    """Highest line speed whose stop draws no more than `available_m`, the instants being fixed.

    Infinite if the stop takes no time.

    Source: the inverse of `draw_of_stop_m`.
    """
    if times.full_speed_equivalent_s == 0:
        return math.inf
    return available_m / times.full_speed_equivalent_s


def highest_line_speed_at_rates_m_per_s(
    *, available_m: float, deceleration_m_per_s2: float, dwell_s: float, acceleration_m_per_s2: float
) -> float:
    """Highest line speed whose stop draws no more than `available_m`, the ramp rates being fixed.

    Raises ValueError if a rate is not positive or `available_m` is negative.
    Source: positive root of k v^2 + dwell v = available, k = 1 / (2 a_dec) + 1 / (2 a_acc), in the form that
    loses no digits.
    """
    if available_m < 0:
        raise ValueError(f"available length is negative: {available_m} m")
    if available_m == 0:
        return 0.0
    k_s2_per_m = _half_inverse_sum(deceleration_m_per_s2, acceleration_m_per_s2)
    return 2 * available_m / (dwell_s + math.sqrt(dwell_s**2 + 4 * k_s2_per_m * available_m))


def _half_inverse_sum(deceleration_m_per_s2: float, acceleration_m_per_s2: float) -> float:
    require_positive("deceleration_m_per_s2", deceleration_m_per_s2)
    require_positive("acceleration_m_per_s2", acceleration_m_per_s2)
    return 1 / (2 * deceleration_m_per_s2) + 1 / (2 * acceleration_m_per_s2)
