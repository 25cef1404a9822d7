"""A splice that is verified: missed, double, out of tolerance, no web after the cut; found, answered, thrown out.

The same file with one check left out each is told apart, so that none of the requirements holds for nothing.
"""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

LINE = """\
sequence: verified splice
scan: {period: 5..10 ms, write: 0..2 ms}
devices:
  press: {type: cylinder, out: 100..150 ms, back: 100..150 ms, output: press_close, switches: {out: press_closed, home: press_open}}
  pull: {type: timed, output: web_run, on: 20..40 ms, off: 20..40 ms}
  gate: {type: timed, output: reject_open, on: 30..60 ms, off: 30..60 ms, signal: gate_open}
  joint: {type: splice, made while: press.is_out, runs while: pull.is_on, travel: 400..700 ms, passes: 30..60 ms,
    seen: splice_seen, double: splice_double, off: splice_off, web: web_after_cut}
  request: {type: pushbutton, pressed: p}
alarms:
  missed: {text: No splice has come, clear: p}
  web_gone: {text: No web after the cut, clear: p}
  double: {text: Double tape, clear: p}
  not_within: {text: Splice out of tolerance, clear: p}
charts:
  splice:
    ready: {initial: true, next: {pressing: p AND NOT missed AND NOT web_gone AND web_after_cut}}
    pressing: {do: [press_close], next: {opening: press_closed AND pressing.T >= T#300ms}}
    opening: {next: {verify: press_open}}
    # The splice must come in its window: 400 to 700 ms after the web has started to run, 20 to 40 ms after the output.
    verify:
      do: [web_run]
      within: 850 ms
      alarm: missed
      next:
        gone: NOT web_after_cut
        scrapping_double: splice_double
        scrapping_off: splice_off
        passing: splice_seen
        missing: verify.late
    passing:
      do: [web_run]
      next:
        gone: NOT web_after_cut
        scrapping_double: splice_double
        scrapping_off: splice_off
        ready: NOT splice_seen
    scrapping_double: {do: [web_run, double, reject_open], next: {ready: "scrapping_double.T >= T#2s"}}
    scrapping_off: {do: [web_run, not_within, reject_open], next: {ready: "scrapping_off.T >= T#2s"}}
    gone: {do: [web_gone], next: {ready: p}}
    missing: {next: {ready: p}}
requirements:
  - {id: missed, detects: [joint.missed], within: 1500 ms, under: fault joint.missed}
  - {id: parted, when: joint.is_parted, then: NOT web_run, within: 25 ms, under: fault joint.missed}
  - {id: double, detects: [joint.doubled], within: 1500 ms, alarm: double, under: fault joint.doubled}
  - {id: off, detects: [joint.out_of_tolerance], within: 1500 ms, alarm: not_within, under: fault joint.out_of_tolerance}
  - {id: reject, when: joint.is_double AND joint.is_passing, then: reject_open, within: 25 ms, under: fault joint.doubled}
  - {id: gate, when: joint.is_double AND joint.is_passing, then: gate.is_on, within: 90 ms, under: fault joint.doubled}
  - {id: blind, from: verify, reaches: [passing, missing, gone, scrapping_double, scrapping_off], within: 880 ms, given: anything,
     under: fault joint.seen_signal_stuck_off}
"""


def _verdicts(text: str = LINE) -> dict[str, Verdict]:
    outcome = check_sequence(read_sequence_text(text, "verified.yaml"), CheckOptions(traps=False))
    return {part.requirement.id: part.verdict for part in outcome.requirements}


def test_every_wrong_splice_is_found_answered_and_thrown_out() -> None:
    assert {name for name, verdict in _verdicts().items() if verdict is not Verdict.HOLDS} == set()


@pytest.mark.parametrize(
    ("left_out", "broken"),
    [
        ("        gone: NOT web_after_cut\n", "parted"),
        ("        scrapping_double: splice_double\n", "double"),
        ("        scrapping_off: splice_off\n", "off"),
        ("        missing: verify.late\n", "blind"),
    ],
)
def test_a_check_left_out_breaks_its_requirement(left_out: str, broken: str) -> None:
    text = LINE.replace(left_out, "")
    if broken == "blind":
        text = text.replace("      within: 850 ms\n      alarm: missed\n", "")
    assert _verdicts(text)[broken] is not Verdict.HOLDS
