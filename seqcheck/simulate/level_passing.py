"""When the content of an accumulator passes a level, as things stand."""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.simulate.accumulator_data import AccumulatorData
from seqcheck.simulate.segment import US_PER_S, Segment
from seqcheck.web.crossing import time_to_go_s


def passes_us(
    store: AccumulatorData, ahead: Iterable[tuple[Segment, float]], level_m: float, way: float
) -> int | None:
    """When the content, rising (`way` 1) or sinking (-1), comes to `level_m` in the segments `ahead`; None: never."""
    for segment, length_s in ahead:
        missing_m = (level_m - segment.content_m) * way
        if missing_m <= 0:
            return round(segment.start_s * US_PER_S)
        unwind, line = store.unwind, store.line
        speeds, rates = segment.speeds_m_per_s, segment.accelerations_m_per_s2
        after_s = time_to_go_s(
            missing_m,
            speed_m_per_s=(speeds[unwind] - speeds[line]) * way,
            acceleration_m_per_s2=(rates[unwind] - rates[line]) * way,
        )
        if after_s <= length_s and after_s != float("inf"):
            return round((segment.start_s + after_s) * US_PER_S)
    return None
