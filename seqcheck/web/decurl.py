"""Where a decurler has to stand: wrap or bar position over the roll's diameter.

The curl that a roll sets goes with the curvature in which the web lay, 2 / D, so the position goes straight with 1 / D from
`at_full` at the full roll to `at_core` at the core:

    p(D) = a + b / D

The position moves as the roll empties: D falls at 2 c v / (pi D) with caliper c and web speed v, hence dp/dt = 2 b c v / (pi D^3),
fastest at the core. Source: curl set by the curvature of winding, from memory; wound length pi (D^2 - d^2) / (4 c), roll.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi


@dataclass(frozen=True, slots=True, kw_only=True)
class DecurlLaw:
    """Positions in mm at the full roll and at the core, whose diameters are in m."""

    at_full_mm: float
    at_core_mm: float
    outside_m: float
    core_m: float

    @property
    def slope_mm_m(self) -> float:
        """The slope b of p over 1 / D, in mm m."""
        return (self.at_core_mm - self.at_full_mm) / (1 / self.core_m - 1 / self.outside_m)

    def position_mm(self, diameter_m: float) -> float:
        """The position at a diameter; beyond core and full roll it stays.

        Source: p(D) above.
        """
        diameter_m = min(max(diameter_m, self.core_m), self.outside_m)
        return self.at_full_mm + self.slope_mm_m * (1 / diameter_m - 1 / self.outside_m)

    def fastest_mm_per_s(self, *, caliper_m: float, speed_m_per_s: float) -> float:
        """How fast the position has to move at most, at the core.

        Source: dp/dt above.
        """
        return abs(2 * self.slope_mm_m * caliper_m * speed_m_per_s / (pi * self.core_m**3))
