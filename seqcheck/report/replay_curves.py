"""Curves of a run for the page: few points, few digits."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.simulate.curves import curves_at, sample_times_us
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.segment import S_PER_US

POINTS = 240
"""Points of a curve beside its corners: finer than a screen shows."""
DIGITS = 4
"""Significant digits: finer than a screen shows."""
SHOWN = ("content", "carriage_speed", "tension_before", "tension_after")
ENDINGS = ("_speed", "_diameter")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplayCurve:
    """A quantity at times in microseconds; straight in between."""

    name: str
    label: str
    unit: str
    times_us: tuple[int, ...]
    values: tuple[float, ...]


def replay_curves(motion: MotionRecord | None, from_us: int, end_us: int) -> tuple[ReplayCurve, ...]:
    """The curves from `from_us` to `end_us`; none without physics."""
    if motion is None:
        return ()
    step_us = max(1, (end_us - from_us) // POINTS)
    times_us = [time for time in sample_times_us(motion, step_us, (from_us, end_us)) if from_us <= time <= end_us]
    return tuple(
        ReplayCurve(
            name=curve.name,
            label=curve.label,
            unit=curve.unit,
            times_us=tuple(times_us),
            values=tuple(float(f"{value:.{DIGITS}g}") for value in curve.values),
        )
        for curve in curves_at(motion, [time * S_PER_US for time in times_us])
        if curve.name in SHOWN or curve.name.endswith(ENDINGS)
    )
