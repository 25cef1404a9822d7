"""A decurler around a splice: backed off while the webs are joined, in range again before the line counts on it."""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

LINE = """\
sequence: decurler around a splice
scan: {{period: 5..10 ms, write: 0..2 ms}}
devices:
  request: {{type: pushbutton, pressed: p}}
  press: {{type: cylinder, out: 100..150 ms, back: 100..150 ms, output: press_close,
    switches: {{out: press_closed, home: press_open}}}}
  decurler: {{type: decurler, engage: decurl, at full: 12 mm, at core: 45 mm, rate: 30 mm/s,
    home: decurler_home, in_range: decurler_ready}}
alarms:
  late: {{text: Decurler late, clear: p}}
charts:
  x:
    start: {{initial: true, do: [decurl], next: {{run: decurler_ready}}}}
    run: {{do: [decurl], next: {{back: p}}}}
    back: {{within: 1700 ms, alarm: late, next: {{close: {backed_off}, stop: back.late}}}}
    close: {{do: [press_close], next: {{open: press_closed}}}}
    open: {{next: {{engage: press_open}}}}
    engage: {{do: [decurl], within: 1700 ms, alarm: late, next: {{run: decurler_ready, stop: engage.late}}}}
    stop: {{}}
requirements:
  - {{id: off, never: press.is_out AND NOT decurler.is_backed_off, under: {under}}}
  - {{id: on, when: x.engage.X, then: decurler.is_in_range, within: 1650 ms, until: NOT x.engage.X}}
  - {{id: found, detects: [decurler.jams], within: 2 s, given: no operator act but request, under: fault decurler.jams}}
"""


def _verdicts(backed_off: str = "decurler_home", under: str = "no fault") -> dict[str, Verdict]:
    text = LINE.format(backed_off=backed_off, under=under)
    outcome = check_sequence(read_sequence_text(text, "decurler.yaml"), CheckOptions(traps=False))
    return {part.requirement.id: part.verdict for part in outcome.requirements}


def test_backed_off_before_the_press_closes_and_in_range_in_time() -> None:
    found = _verdicts()
    assert (found["off"], found["on"]) == (Verdict.HOLDS, Verdict.HOLDS)


def test_a_jammed_decurler_does_not_let_the_press_close() -> None:
    assert _verdicts(under="fault decurler.jams")["off"] is Verdict.HOLDS


def test_a_home_switch_stuck_on_does() -> None:
    assert _verdicts(under="fault decurler.home_signal_stuck_on")["off"] is Verdict.VIOLATED


@pytest.mark.parametrize("waits", ["back.T >= T#1s", "TRUE"])
def test_not_waiting_for_its_home_breaks_the_requirement(waits: str) -> None:
    assert _verdicts(backed_off=waits)["off"] is Verdict.VIOLATED
