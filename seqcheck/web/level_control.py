"""How a drive brings the content of an accumulator to a level and holds it there.

The picture: the unwind runs a little faster or slower than the line (the *excess*), never by more than its overspeed, and
changes that excess at a limited rate. The content is the integral of the excess. The shortest way to a level, ending there with
no excess, is to speed up, go on, and slow down; it never overshoots unless it comes in too fast to stop in time.
"""

import math
from typing import NamedTuple

from seqcheck.web.positive import require_positive


class Stretch(NamedTuple):
    """A time in which the excess changes at a constant rate."""

    duration_s: float
    acceleration_m_per_s2: float


def approach(
    *, missing_m: float, excess_m_per_s: float, most_m_per_s: float, rate_m_per_s2: float
) -> tuple[Stretch, ...]:
    """The stretches that bring the content up by `missing_m` (down where negative) and the excess to zero.

    They take the shortest time that an excess of at most `most_m_per_s` and a change of `rate_m_per_s2` allow.

    Raises ValueError if the most excess or the rate is not positive.
    Source: time-optimal control of a double integrator with limited speed (textbook; from memory).
    """
    require_positive("most_m_per_s", most_m_per_s)
    require_positive("rate_m_per_s2", rate_m_per_s2)
    braking_m = excess_m_per_s * abs(excess_m_per_s) / (2 * rate_m_per_s2)
    sign = math.copysign(1.0, missing_m - braking_m)
    # From here on upwards, whichever way it goes.
    ahead_m, now_m_per_s = sign * missing_m, sign * excess_m_per_s
    peak_m_per_s = math.sqrt(max(0.0, rate_m_per_s2 * ahead_m + now_m_per_s**2 / 2))
    top_m_per_s = min(peak_m_per_s, most_m_per_s)
    change_s = abs(top_m_per_s - now_m_per_s) / rate_m_per_s2
    change_m_per_s2 = sign * math.copysign(rate_m_per_s2, top_m_per_s - now_m_per_s)
    brake_s = top_m_per_s / rate_m_per_s2
    covered_m = (top_m_per_s + now_m_per_s) * change_s / 2 + top_m_per_s * brake_s / 2
    cruise_s = 0.0 if peak_m_per_s <= most_m_per_s else max(0.0, (ahead_m - covered_m) / top_m_per_s)
    stretches = (
        Stretch(change_s, change_m_per_s2),
        Stretch(cruise_s, 0.0),
        Stretch(brake_s, -sign * rate_m_per_s2),
    )
    return tuple(stretch for stretch in stretches if stretch.duration_s > 0)
