"""The minimum distance between a protective device and what it guards: who reaches in must not arrive before standstill.

The picture: a hand or a body moves towards the hazard at a stated speed K while everything that must happen before
standstill (the device, the logic, the machine: the overall stopping time T) goes on; what can get past the device unnoticed is
added.

Source: ISO 13855, general formula S = K T + C (clause 5). Formulas of the 2010 edition were read in device manuals; its clause
numbers
are from memory. Of the 2024 edition only the general formula, two-hand control and interlocked guards were read, in a commentary;
where its text was not read the value of 2010 is used, and the result says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

HAND_MM_PER_S = 2000.0
"""Speed of a hand near the hazard."""
BODY_MM_PER_S = 1600.0
"""Speed of walking, and of a hand from farther than half a metre."""
NEAR_MM = 500.0
"""Up to this distance the speed of a hand counts; beyond it the distance is never less than this."""
LEAST_MM = 100.0
"""No distance is less."""


class Edition(Enum):
    """Which edition of ISO 13855."""

    OF_2010 = "2010"
    OF_2024 = "2024"


@dataclass(frozen=True, slots=True, kw_only=True)
class Distance:
    """A minimum distance in mm, the lines of its calculation, its source, and what was not read or is simplified."""

    distance_mm: float
    working: tuple[str, ...]
    source: str
    caveat: str = ""


def curtain_distance(stopping_s: float, resolution_mm: float, edition: Edition = Edition.OF_2010) -> Distance:
    """Normal approach to a light curtain that detects objects of `resolution_mm` and more.

    Raises ValueError for a resolution that is not positive, or a negative time.

    Source: ISO 13855:2010 6.2.3 (up to 40 mm; clause from memory): S = 2000 T + 8 (d - 14); where that is more than 500 mm, S
    = 1600 T +
    8 (d - 14) and at least 500 mm; at least 100 mm. 40 to 70 mm: S = 1600 T + 850; coarser: S = 1600 T + 1200.
    """
    _check(stopping_s)
    if resolution_mm <= 0:
        raise ValueError(f"resolution must be positive, is {resolution_mm} mm")
    caveat = "" if edition is Edition.OF_2010 else "the text of 2024 for light curtains was not read; the formula of 2010 is used"
    if resolution_mm > 40:
        supplement_mm = 850.0 if resolution_mm <= 70 else 1200.0
        return _walking(stopping_s, supplement_mm, "ISO 13855:2010 6.2.3 (clause from memory)", caveat)
    supplement_mm = max(8 * (resolution_mm - 14), 0.0)
    near_mm = HAND_MM_PER_S * stopping_s + supplement_mm
    working = [_line(HAND_MM_PER_S, stopping_s, supplement_mm, near_mm)]
    distance_mm = near_mm
    if near_mm > NEAR_MM:
        far_mm = BODY_MM_PER_S * stopping_s + supplement_mm
        working.append(f"more than 500 mm, so {_line(BODY_MM_PER_S, stopping_s, supplement_mm, far_mm)}")
        distance_mm = max(far_mm, NEAR_MM)
        if far_mm < NEAR_MM:
            working.append("at least 500 mm")
    return _at_least(distance_mm, tuple(working), "ISO 13855:2010 6.2.3 (clause from memory)", caveat)


def beams_distance(stopping_s: float, beams: int) -> Distance:
    """Normal approach to single beams that notice a body: S = 1600 T + 850 for two to four beams, + 1200 for one.

    Raises ValueError for no beam, or a negative time.

    Source: ISO 13855:2010 6.3 (read in a light-beam guide; clause from memory).
    """
    _check(stopping_s)
    if beams < 1:
        raise ValueError(f"expected one beam or more, found {beams}")
    return _walking(stopping_s, 850.0 if beams > 1 else 1200.0, "ISO 13855:2010 6.3 (clause from memory)", "")


def parallel_distance(stopping_s: float, height_mm: float) -> Distance:
    """Approach along a field of detection at a height: S = 1600 T + max(1200 - 0.4 H, 850).

    Raises ValueError for a height below 0 or above 1000 mm, or a negative time.

    Source: ISO 13855:2010 6.4 (read in a light-beam guide; the least of 850 mm and the clause are from memory).
    """
    _check(stopping_s)
    if not 0 <= height_mm <= 1000:
        raise ValueError(f"height must be 0 to 1000 mm, is {height_mm} mm")
    return _walking(stopping_s, max(1200 - 0.4 * height_mm, 850.0), "ISO 13855:2010 6.4 (clause from memory)", "")


def two_hand_distance(stopping_s: float, edition: Edition = Edition.OF_2010, is_shrouded: bool = False) -> Distance:
    """From a two-hand control: S = 1600 T + 250 (2010), + 550 (2024); + 0 and at least 100 mm where hands cannot get past it.

    Raises ValueError for a negative time.

    Source: ISO 13855:2010 clause 8 (250 mm from memory); ISO 13855:2024 (550 mm read in a commentary).
    """
    _check(stopping_s)
    supplement_mm = 0.0 if is_shrouded else 250.0 if edition is Edition.OF_2010 else 550.0
    return _walking(stopping_s, supplement_mm, f"ISO 13855:{edition.value} clause 8 (from memory)", "")


def guard_distance(
    stopping_s: float, edition: Edition = Edition.OF_2010, opening_s: float = 0.0, reach_mm: float = 0.0
) -> Distance:
    """From the opening of an interlocked guard without locking to the hazard.

    2010: S = 1600 (T - `opening_s`), the time to open it far enough for a hand. 2024: S = 1600 T + `reach_mm`, how far one can
    reach
    through the opening before it is noticed (ISO 13857).

    Raises ValueError for a negative time or reach.

    Source: ISO 13855:2010 clause 9 (from memory); ISO 13855:2024 clause 12 (read in a commentary).
    """
    _check(stopping_s)
    if opening_s < 0 or reach_mm < 0:
        raise ValueError(f"expected no negative opening time or reach, found {opening_s} s, {reach_mm} mm")
    if edition is Edition.OF_2024:
        return _walking(stopping_s, reach_mm, "ISO 13855:2024 clause 12 (read in a commentary)", "", least_mm=0.0)
    left_s = max(stopping_s - opening_s, 0.0)
    distance_mm = BODY_MM_PER_S * left_s
    working = (f"1600 mm/s x ({stopping_s:.4g} s - {opening_s:.4g} s) = {distance_mm:.1f} mm",)
    return Distance(distance_mm=distance_mm, working=working, source="ISO 13855:2010 clause 9 (from memory)")


def _walking(stopping_s: float, supplement_mm: float, source: str, caveat: str, least_mm: float = LEAST_MM) -> Distance:
    distance_mm = BODY_MM_PER_S * stopping_s + supplement_mm
    working = (_line(BODY_MM_PER_S, stopping_s, supplement_mm, distance_mm),)
    return _at_least(distance_mm, working, source, caveat, least_mm)


def _at_least(
    distance_mm: float, working: tuple[str, ...], source: str, caveat: str, least_mm: float = LEAST_MM
) -> Distance:
    if distance_mm < least_mm:
        return Distance(
            distance_mm=least_mm, working=(*working, f"at least {least_mm:.0f} mm"), source=source, caveat=caveat
        )
    return Distance(distance_mm=distance_mm, working=working, source=source, caveat=caveat)


def _line(speed_mm_per_s: float, stopping_s: float, supplement_mm: float, distance_mm: float) -> str:
    return f"{speed_mm_per_s:.0f} mm/s x {stopping_s:.4g} s + {supplement_mm:.4g} mm = {distance_mm:.1f} mm"


def _check(stopping_s: float) -> None:
    if stopping_s < 0:
        raise ValueError(f"the overall stopping time must not be negative, is {stopping_s} s")
