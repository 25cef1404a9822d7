"""Lateral position of a web behind a guide: a first-order answer over the free span.

A web comes onto the next roller at a right angle to its axis, so what enters a span to the side is found at its end only as web
runs through: with the lateral position y0 at the guide and y at the end of a span of length L, web speed v,

    L dy/dt = v (y0 - y)        or over the length s that has passed:        L dy/ds = y0 - y

While y0 stays, y comes closer by the factor exp(-s / L) whatever the speed; at standstill it stays where it is. Web stiffness and
the higher order that it brings are left out. Source: J. J. Shelton and K. N. Reid, "Lateral Dynamics of an Idealized Moving Web"
(1971), first-order model, from memory.
"""

from __future__ import annotations

import math


def lateral_rate_mm_per_s(
    *, entering_mm: float, position_mm: float, speed_m_per_s: float, span_m: float
) -> float:
    """How fast the position at the end of the span changes.

    Source: the law above.
    """
    return speed_m_per_s * (entering_mm - position_mm) / span_m


def lateral_after_travel_mm(
    *, entering_mm: float, position_mm: float, travel_m: float, span_m: float
) -> float:
    """The position at the end of the span after `travel_m` of web, while what enters stays.

    Source: solution of the law above.
    """
    return entering_mm + (position_mm - entering_mm) * math.exp(-travel_m / span_m)


def lateral_along_travel_mm(
    *, entering_mm: float, slope_mm_per_m: float, position_mm: float, travel_m: float, span_m: float
) -> float:
    """The same while what enters changes straight with the length that passes, from `entering_mm` on.

    Source: solution of the law above for y0 = a + b s: y = a + b (s - L) + (y(0) - a + b L) exp(-s / L).
    """
    left = position_mm - entering_mm + slope_mm_per_m * span_m
    steady = entering_mm + slope_mm_per_m * (travel_m - span_m)
    return steady + left * math.exp(-travel_m / span_m)


def unguided_offset_mm(*, accuracy_mm: float, weave_mm: float, travel_m: float, span_m: float) -> float:
    """The farthest that a web may lie off after `travel_m` with the guide held or on its way to the centre. A bound.

    Guided, it lay within `accuracy_mm`; the web before the guide then lies anywhere within `weave_mm` to either side, at most twice
    that from where the guide was set for. Source: the law above, whose answer stays between those of its extreme inputs.
    """
    return accuracy_mm + 2 * weave_mm * (1 - math.exp(-travel_m / span_m))
