"""The exact answer of a span to ramps: tension over the length of web that has run through it.

Where the rollers at both ends of a span run at one speed v(t), the law of tension.py is

    L dT2/dt = v (T1 - T2)

and the length that has passed, ds = v dt, is the better clock: L dT2/ds = T1 - T2. While T1 stays, T2 comes closer to it by
the factor exp(-s / L), whatever the ramp; at standstill it stays as it is.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Numbers = NDArray[float64]


def tension_after_travel_n(
    *, entry_tension_n: float, tension_n: float, travel_m: float, span_length_m: float
) -> float:
    """Tension at the end of a span after `travel_m` of web has run through it: T1 + (T - T1) exp(-s / L).

    Source: solution of the linear law above.
    """
    return entry_tension_n + (tension_n - entry_tension_n) * math.exp(-travel_m / span_length_m)


def tensions_after_travel_n(
    *, entry_tension_n: Numbers, tension_n: Numbers, travel_m: Numbers, span_length_m: float
) -> Numbers:
    """`tension_after_travel_n` for many runs at once.

    Source: the same.
    """
    from numpy import exp

    return entry_tension_n + (tension_n - entry_tension_n) * exp(-travel_m / span_length_m)


def travel_to_tension_m(
    limit_n: float, *, entry_tension_n: float, tension_n: float, span_length_m: float
) -> float:
    """Length that runs through the span until its tension is `limit_n`; infinite if it never is.

    Source: the inverse of `tension_after_travel_n`.
    """
    if tension_n == limit_n:
        return 0.0
    if (tension_n - limit_n) * (entry_tension_n - limit_n) >= 0:
        return math.inf
    return span_length_m * math.log((tension_n - entry_tension_n) / (limit_n - entry_tension_n))
