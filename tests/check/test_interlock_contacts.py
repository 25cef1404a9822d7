"""An interlock is judged on what a read sees, also on a contact that the controller does not look at in that read."""

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

PRESS = """\
sequence: Trial press
scan: {period: 10..10 ms, write: 0 ms}
devices:
  press: {type: cylinder, out: 60..90 ms, back: 50..80 ms, output: press_close, switches: {out: pressed, home: press_open}}
  request: {type: pushbutton, pressed: requested}
charts:
  main:
    ready: {initial: true, next: {pressing: requested AND ready.T >= T#1s}}
    pressing: {do: [press_close], next: {ready: pressed OR pressing.T >= T#1s}}
requirements:
  - {id: I1, interlock: press_close, only while: press_open, under: fault press.home_signal_stuck_off}
"""


@pytest.mark.parametrize("reductions", [True, False])
@pytest.mark.parametrize(
    ("condition", "verdict"),
    [("requested AND ready.T", Verdict.VIOLATED), ("requested AND press_open AND ready.T", Verdict.HOLDS)],
)
def test_a_contact_that_nobody_looks_at_fails_too(condition: str, verdict: Verdict, *, reductions: bool) -> None:
    sequence = read_sequence_text(PRESS.replace("requested AND ready.T", condition), "press.yaml")
    (judged,) = check_sequence(sequence, CheckOptions(reductions=reductions)).requirements
    assert judged.verdict is verdict
