"""The trial of tests/requirements/draw_file.py with other times, and with the requirement for a budget alone."""

from __future__ import annotations

from dataclasses import dataclass

from requirements.draw_file import SPLICER

from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialTimes:
    """Times of the trial in microseconds; `dwell_us`: from the stop command until the restart may come."""

    period_us: int = 10_000
    stop_us: tuple[int, int] = (1_000_000, 1_000_000)
    start_us: tuple[int, int] = (1_500_000, 2_000_000)
    dwell_us: int = 1_300_000


def trial_text(times: TrialTimes, *, stroke_m: float = 1.5, speed_m_per_min: float = 60) -> str:
    """The trial as a file."""
    return (
        SPLICER.replace("STROKE", str(stroke_m))
        .replace("UNDER", "under: no fault")
        .replace("speed: 60 m/min", f"speed: {speed_m_per_min} m/min")
        .replace("period: 10 ms", f"period: {times.period_us} us")
        .replace("stop: 1..1 s", f"stop: {times.stop_us[0]}..{times.stop_us[1]} us")
        .replace("start: 1.5..2 s", f"start: {times.start_us[0]}..{times.start_us[1]} us")
        .replace("T#1300ms", f"T#{times.dwell_us}us")
    )


def trial(times: TrialTimes | None = None, *, stroke_m: float = 1.5, speed_m_per_min: float = 60) -> Sequence:
    """The trial, read."""
    text = trial_text(times or TrialTimes(), stroke_m=stroke_m, speed_m_per_min=speed_m_per_min)
    return read_sequence_text(text, "trial.yaml")
