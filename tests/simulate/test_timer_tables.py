"""Timers and edges of conditions in real runs.

Source of the timer rows: a public C library of function blocks that follows the second-edition draft of IEC 61131-3
(its STANDARD_FBS.c, seen); the rows are computed from its text with PT = 5 s. Reads are 10 ms apart and fall on the
table's times, so the values are exact.
"""

from __future__ import annotations

import pytest
from simulate.on_times import Spans, on_times

FILE = """\
sequence: timer table
scan: {{period: 10 ms, write: 0 ms}}
devices:
  a: {{type: pushbutton, pressed: input}}
  valve: {{type: valve, output: q, open: 1..2 ms, close: 1..2 ms}}
charts:
  c:
    off: {{initial: true, next: {{"on": "{condition}"}}}}
    "on": {{do: q, next: {{off: "NOT {condition}"}}}}
"""

TABLE: list[tuple[str, Spans, Spans]] = [
    ("TON", ((0, 3),), ()),
    ("TON", ((10, 20),), ((15, 20),)),
    ("TOF", ((0, 10),), ((0, 15),)),
    ("TOF", ((0, 10), (12, 14)), ((0, 19),)),
    ("TP", ((0, 2),), ((0, 5),)),
    ("TP", ((0, 8),), ((0, 5),)),
]


@pytest.mark.parametrize(("timer", "input_on", "q_on"), TABLE)
def test_a_timer_is_on_as_in_the_table(timer: str, input_on: Spans, q_on: Spans) -> None:
    text = FILE.format(condition=f"{timer}(input, T#5s)")
    assert on_times(text, "q", {"a": input_on}, until_s=30) == q_on


def test_a_rising_edge_is_on_for_one_read() -> None:
    """R_TRIG: Q = CLK and not M, for one run of the program. Source: as above."""
    assert on_times(FILE.format(condition="RISING(input)"), "q", {"a": ((1, 3),)}, until_s=6) == ((1, 1.01),)


def test_a_falling_edge_is_on_for_one_read_and_not_at_power_up() -> None:
    """F_TRIG: Q = not CLK and M.

    Here no edge appears at power-up (check-values.md 7.3 says where that differs).
    """
    assert on_times(FILE.format(condition="FALLING(input)"), "q", {"a": ((1, 3),)}, until_s=6) == ((3, 3.01),)


def test_an_input_shorter_than_a_scan_is_missed() -> None:
    """The input is sampled: on from 5 ms before a read to 5 ms before the next, but between reads only."""
    missed = ((1.006, 1.009),)
    assert on_times(FILE.format(condition="input"), "q", {"a": missed}, until_s=3) == ()
