"""Whether an interlocked guard must also be locked: it must where somebody can reach the hazard before it has ended."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.safety.minimum_distance import BODY_MM_PER_S


@dataclass(frozen=True, slots=True, kw_only=True)
class LockingNeed:
    """Whether locking is needed, with both times in seconds."""

    is_needed: bool
    stopping_s: float
    access_s: float
    source: str = "ISO 14119:2013 4.3, 6.2.2 (from memory)"


def locking_need(stopping_s: float, distance_mm: float, opening_s: float = 0.0) -> LockingNeed:
    """Stopping time against access time: the time to open the guard far enough, and to go `distance_mm` at 1600 mm/s.

    Equal times need locking: nothing is left. Raises ValueError for a negative number.

    Source: ISO 14119:2013 4.3, 6.2.2 (from memory); speed of approach ISO 13855.
    """
    if min(stopping_s, distance_mm, opening_s) < 0:
        raise ValueError(f"expected no negative number, found {stopping_s} s, {distance_mm} mm, {opening_s} s")
    access_s = opening_s + distance_mm / BODY_MM_PER_S
    return LockingNeed(is_needed=stopping_s >= access_s, stopping_s=stopping_s, access_s=access_s)
