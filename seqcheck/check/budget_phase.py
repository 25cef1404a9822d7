"""Where the web of one draw goes: its share in each step that the controller is in while the draw lasts.

The draw up to a moment is what a stopped unwind does not bring, less what a slowing line does not take (see kernel/draw.py for
t0 to t3). All ramps are linear, so both are parabolas, and the phases add up to v/2 ((t2 - t0) + (t3 - t1)).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from seqcheck.check.outcome import Witness
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND

Moments = tuple[int, ...]
"""t0, t1, t2, t3 in microseconds from the start of the run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One step of the draw: from `begin_us` to `end_us` after the unwind left line speed, and the web it takes in metres."""

    step: str
    begin_us: int
    end_us: int
    drawn_m: float


def drawn_until_s(time_us: float, moments: Moments) -> float:
    """Web drawn from t0 to a moment between t0 and t3, as seconds at line speed.

    Source: area between the speeds of line and unwind, linear ramps (worked by hand).
    """
    left, stood, restarted, back = moments
    missing = _lost_in_ramp(time_us - left, stood - left)
    saved = _lost_in_ramp(time_us - restarted, back - restarted)
    return (missing - saved) / MICROSECONDS_PER_SECOND


def _lost_in_ramp(elapsed_us: float, ramp_us: float) -> float:
    """The area that a linear fall of a speed from 1 to 0 has cost so long after it began."""
    if elapsed_us <= 0:
        return 0.0
    if elapsed_us <= ramp_us:
        return elapsed_us**2 / (2 * ramp_us)
    return elapsed_us - ramp_us / 2


def phases_of(sequence: Sequence, unwind: str, moments: Moments, witness: Witness) -> tuple[Phase, ...]:
    """The phases of the draw with these moments, in order; adjoining times in one step are one phase."""
    line = sequence.machine.line
    assert line is not None, "a draw is only watched where the file has a line"
    left, back = moments[0], moments[-1]
    corners = [(left, _step_at(sequence, unwind, witness, left))]
    for shown in witness.lines:
        step = _step_of(sequence, unwind, shown.steps)
        if left < shown.time_us < back and step != corners[-1][1]:
            corners.append((shown.time_us, step))
    corners.append((back, ""))
    return tuple(
        Phase(
            step=step,
            begin_us=begin - left,
            end_us=end - left,
            drawn_m=line.speed_m_per_s * (drawn_until_s(end, moments) - drawn_until_s(begin, moments)),
        )
        for (begin, step), (end, _) in pairwise(corners)
        if end > begin
    )


def _step_at(sequence: Sequence, unwind: str, witness: Witness, time_us: int) -> str:
    """The step of the unwind's chart at a moment, after all that happens then."""
    before = [shown.steps for shown in witness.lines if shown.time_us <= time_us]
    return _step_of(sequence, unwind, before[-1] if before else ())


def _step_of(sequence: Sequence, unwind: str, steps: tuple[str, ...]) -> str:
    """The step of the chart that runs the unwind, of all steps that are active."""
    chart = _chart_that_runs(sequence, unwind)
    return next((step for step in steps if step.split(".")[0] == chart), "")


def _chart_that_runs(sequence: Sequence, unwind: str) -> str:
    device = sequence.device(unwind)
    run = None if device is None else device.value("run", str)
    writers = [
        chart.name
        for chart in sequence.charts
        for step in chart.steps
        if any(action.variable == run for action in step.actions)
    ]
    return writers[0] if writers else sequence.charts[0].name
