"""A stretch of a run in which nothing turns: every drive has one acceleration."""

from __future__ import annotations

from typing import NamedTuple

S_PER_US = 1e-6
US_PER_S = 1_000_000


class Segment(NamedTuple):
    """Constant accelerations from `start_s` on, until the next segment. `is_fed`: the unwind is at speed."""

    start_s: float
    speeds_m_per_s: tuple[float, ...]
    accelerations_m_per_s2: tuple[float, ...]
    content_m: float
    is_fed: bool
