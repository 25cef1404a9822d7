"""An unwind, a line, an accumulator and a reject gate, with numbers that can be worked out by hand.

v = 1 m/s. The unwind stands 1 s after the read that leaves `run`; `start`, at whose entry the count is set to zero, is entered by
the read that sees 1.3 s gone: 1.30..1.31 s after the stop began, 0.30..0.31 s after standstill.
Filled is 28.1 % of 10 x 2 m = 5.62 m; drawn by then are v/2 ((t - t0) + (t - t1)) = 0.80..0.81 m: 4.81..4.82 m are stored.
Gate: 6.0..6.1 m of path, 998..1002 counts a metre. Spoilt web from (6.0 + 4.81 - 0.1) m x 998 = 10688.58 to (6.1 + 4.82 + 0.3) m
x 1002 = 11242.44 counts. It takes 0.1 s to open: 0.1 m, at most 100.2 counts, so it must be told by count 10688 - 101 = 10587.
Source: conservation of length (web/splice_position.py), worked by hand.
"""

from __future__ import annotations

from requirements.draw_file import SPLICER

FIELDS = (
    "reject from: start, path before: 1..1.1 m, path after: 5 m, counts: 998..1002 counts/m, "
    "spoilt ahead: 100 mm, spoilt behind: 300 mm, gate: 100 ms"
)


def reject_file(opens: str = "10587 counts", closes: str = "11243 counts", more: str = "") -> str:
    """The text of the file, with the counts at which the gate is told to act and more fields (`, encoder: unwind`)."""
    requirement = f"{{id: R, {FIELDS}, opens at: {opens}, closes at: {closes}{more}, given: anything}}"
    text = SPLICER.replace("{id: R, accumulator: never below reserve, UNDER}", requirement)
    # Without overspeed nothing is filled above the level.
    text = text.replace("overspeed: 20 %", "overspeed: 0 %").replace("filled_band: 0..0 ms", "fill_time: 5..6 s")
    return text.replace("STROKE", "2")
