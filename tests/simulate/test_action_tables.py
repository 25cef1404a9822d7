"""Action qualifiers in real runs: when an output is on whose step is entered at 0, with T = 5 s.

Source of the rows: meanings seen in two PLC programming help topics, control block of IEC 61131-3 from
memory. Reads are 10 ms apart and fall on the table's times, so the values are exact.
"""

from __future__ import annotations

import pytest
from simulate.on_times import Spans, on_times

FILE = """\
sequence: action table
scan: {{period: 10 ms, write: 0 ms}}
devices:
  enter: {{type: pushbutton, pressed: is_entered}}
  leave: {{type: pushbutton, pressed: is_left}}
  reset: {{type: pushbutton, pressed: is_reset}}
  valve: {{type: valve, output: q, open: 1..2 ms, close: 1..2 ms}}
charts:
  c:
    before: {{initial: true, next: {{during: is_entered}}}}
    during: {{do: {{q: {qualifier}}}, next: {{after: is_left}}}}
    after: {{next: {{during: is_entered}}}}
  r:
    rest: {{initial: true, next: {{resetting: is_reset}}}}
    resetting: {{do: {{q: R}}, next: {{rest: NOT is_reset}}}}
"""

ONE_SCAN = ((0, 0.01),)
TABLE: list[tuple[str, float, Spans]] = [
    ("N", 3, ((0, 3),)),
    ("N", 8, ((0, 8),)),
    ("S", 3, ((0, 20),)),
    ("S", 8, ((0, 20),)),
    ("L 5 s", 3, ((0, 3),)),
    ("L 5 s", 8, ((0, 5),)),
    ("D 5 s", 3, ()),
    ("D 5 s", 8, ((5, 8),)),
    ("P", 3, ONE_SCAN),
    ("P", 8, ONE_SCAN),
    ("SD 5 s", 3, ((5, 20),)),
    ("SD 5 s", 8, ((5, 20),)),
    ("DS 5 s", 3, ()),
    ("DS 5 s", 8, ((5, 20),)),
    ("SL 5 s", 3, ((0, 5),)),
    ("SL 5 s", 8, ((0, 5),)),
]


def _on_times(qualifier: str, *, entered: Spans, left: Spans, reset: Spans) -> Spans:
    pressed = {"enter": entered, "leave": left, "reset": reset}
    return on_times(FILE.format(qualifier=qualifier), "q", pressed, until_s=30)


@pytest.mark.parametrize(("qualifier", "left_s", "q_on"), TABLE)
def test_an_action_is_on_as_in_the_table(qualifier: str, left_s: float, q_on: Spans) -> None:
    """The step is entered at 0 and left at 3 or 8; R comes at 20."""
    left = ((left_s, left_s + 1),)
    assert _on_times(qualifier, entered=((0, 1),), left=left, reset=((20, 21),)) == q_on


def test_a_stored_delay_that_is_reset_in_time_never_acts() -> None:
    """SD with R at 4: never on. Source: as above."""
    assert _on_times("SD 5 s", entered=((0, 1),), left=((3, 4),), reset=((4, 5),)) == ()


@pytest.mark.parametrize("qualifier", ["N", "S", "L 5 s"])
def test_reset_wins_over_an_action_of_an_active_step(qualifier: str) -> None:
    """R wins over all while its step is active. Source: as above."""
    on = _on_times(qualifier, entered=((0, 1),), left=((4, 5),), reset=((1, 2),))
    assert on[0] == (0, 1)
    assert all(end <= 1 or start >= 2 for start, end in on)




def test_a_stored_pulse_does_not_return_before_a_reset() -> None:
    """SL entered again at 10 without R between: the stored time has long run out.

    Source: control block, from memory.
    """
    on = _on_times("SL 5 s", entered=((0, 1), (10, 11)), left=((3, 4), (12, 13)), reset=((20, 21),))
    assert on == ((0, 5),)


def test_a_stored_delay_runs_from_the_first_entry() -> None:
    """SD entered again at 4: the delay still runs from 0. Source: control block, from memory."""
    on = _on_times("SD 5 s", entered=((0, 1), (4, 4.5)), left=((3, 3.5), (6, 7)), reset=((20, 21),))
    assert on == ((5, 20),)
