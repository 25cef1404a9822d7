"""Web on a roll of a diameter, and the diameter of a roll with so much web."""

from __future__ import annotations

from seqcheck.simulate.physical_data import RollData
from seqcheck.web.roll import diameter_from_length_m, wound_length_m


def left_m(roll: RollData, diameter_m: float) -> float:
    """Web on a roll of this diameter."""
    return wound_length_m(outside_diameter_m=diameter_m, core_diameter_m=roll.core_m, caliper_m=roll.caliper_m)


def diameter_m(roll: RollData, remaining_m: float) -> float:
    """Diameter of the roll with so much web on it; the core's where there is none left."""
    return diameter_from_length_m(
        remaining_length_m=max(0.0, remaining_m), core_diameter_m=roll.core_m, caliper_m=roll.caliper_m
    )
