"""An unwind, a line and an accumulator, as few as a draw needs, with numbers that can be worked out by hand.

v = 1 m/s. t0: the read that leaves `run`; the unwind stands 1 s later (t1 = t0 + 1 s). `stop` is left by the read that
sees 1.3 s gone, at most 10 ms late: t2 - t0 <= 1.31 s. The unwind is back at speed after at most 2 s:
t3 - t1 <= 1.31 - 1 + 2 = 2.31 s.
Worst draw: v/2 * ((t2 - t0) + (t3 - t1)) = 0.5 * (1.31 + 2.31) = 1.81 m.
Stored above the reserve: strands * stroke * (filled - reserve) = 10 * stroke * 0.181 = 1.81 * stroke.
Source of the expression: linear ramps, area between two speed curves (worked by hand).
"""

from __future__ import annotations

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.reader.read import read_sequence_text

SPLICER = """\
sequence: Trial
scan: {period: 10 ms, write: 0 ms}
line: {speed: 60 m/min, stop: 2..3 s, start: 2..3 s}
unwind: {stop: 1..1 s, start: 1.5..2 s, overspeed: 20 %}
accumulator: {strands: 10, stroke: STROKE m, running: 15 %, filled: 28.1 %, reserve: 10 %}
devices:
  unwind: {type: drive, run: unwind_run, stopped: unwind_stopped, at_speed: unwind_at_speed, initially: stopped}
  line: {type: line_drive, run: line_run, initially: stopped}
  store: {type: accumulator, fill: fill, unwind: unwind, line: line, filled: full, filled_band: 0..0 ms}
  b: {type: pushbutton, pressed: p}
charts:
  c:
    down: {initial: true, do: [unwind_run, fill], next: {run: full AND unwind_at_speed}}
    run: {do: [line_run, unwind_run, fill], next: {stop: p AND full AND unwind_at_speed}}
    stop: {do: [line_run], next: {start: unwind_stopped AND stop.T >= T#1300ms}}
    start: {do: [line_run, unwind_run], next: {run: unwind_at_speed}}
requirements:
  - {id: R, accumulator: never below reserve, UNDER}
"""


def draw_outcome(stroke: str, under: str = "under: no fault") -> RequirementOutcome:
    """The verdict on the reserve with a carriage stroke in metres."""
    text = SPLICER.replace("STROKE", stroke).replace("UNDER", under)
    (outcome,) = check_sequence(read_sequence_text(text, "trial.yaml")).requirements
    return outcome
