"""Offset of new to old web: bounds worked by hand, and what the splice needs of the guide.

Line 2 m/s, span 1.5 m, accuracy 0.5 mm, placed within 1 mm. Held from when the unwind is told to stop: at most 0.5 s x 2 m/s = 1 m
run unguided, of a weave of 1 mm 2 x (1 - exp(-1 / 1.5)) = 0.973 mm arrive. Worked by hand from the first-order law.
"""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

SPLICE = """\
sequence: guided splice
scan: {{period: 10..20 ms, write: 0..5 ms}}
line: {{speed: 120 m/min}}
devices:
  unwind: {{type: drive, run: unwind_run, stop: 0.4..0.5 s, start: 0.4..0.5 s, stopped: us}}
  guide: {{type: web_guide, hold: guide_hold, centre: guide_centre, travel: 75 mm, rate: 20 mm/s, settle: 0.8..2 s,
    accuracy: 0.5 mm, weave: 1 mm, span: 1.5 m, centred: gc}}
  request: {{type: pushbutton, pressed: p}}
charts:
  x:
    run: {{initial: true, do: [unwind_run], next: {{stop: p}}}}
    stop: {{do: {stop}, next: {{hold: us}}}}
    hold: {{do: {hold}, next: {{press: {ready}}}}}
    press: {{do: [guide_hold], next: {{start: "press.T >= T#500ms"}}}}
    start: {{do: [unwind_run], next: {{run: "start.T >= T#{start}"}}}}
requirements:
  - {{id: R, offset at most: {most}, guide: guide, drive: unwind, joined in: [press], placed within: 1 mm, given: anything,
     under: {under}}}
"""


def judged(
    stop: str = "[]",
    hold: str = "[guide_hold]",
    ready: str = "'hold.T >= T#50ms'",
    start: str = "3s",
    most: str = "3 mm",
    under: str = "no fault",
) -> RequirementOutcome:
    text = SPLICE.format(stop=stop, hold=hold, ready=ready, start=start, most=most, under=under)
    sequence = read_sequence_text(text, "guided.yaml")
    return check_sequence(sequence, CheckOptions(traps=False)).requirements[0]


def worst_mm(outcome: RequirementOutcome) -> float:
    return outcome.measures[0].worst


def test_guided_to_standstill_only_accuracy_and_placing_count() -> None:
    outcome = judged()
    assert (outcome.verdict, worst_mm(outcome)) == (Verdict.HOLDS, pytest.approx(1.5))


def test_held_during_the_stop_what_arrives_of_the_weave_counts() -> None:
    outcome = judged(stop="[guide_hold]")
    assert outcome.verdict is Verdict.HOLDS
    assert worst_mm(outcome) == pytest.approx(1.5 + 0.97317, abs=1e-4)
    assert not outcome.measures[0].is_exact


def test_a_bound_that_breaks_the_limit_is_undecided() -> None:
    outcome = judged(stop="[guide_hold]", most="2.4 mm")
    assert outcome.verdict is Verdict.UNDECIDED
    assert outcome.reason == "by bound: offset of new to old web, most"


def test_centred_while_the_web_stops_counts_as_unguided_too() -> None:
    outcome = judged(stop="[guide_centre]", hold="[guide_centre]", ready="gc")
    assert outcome.verdict is Verdict.HOLDS
    assert worst_mm(outcome) == pytest.approx(1.5 + 0.97317, abs=1e-4)


def test_a_guide_that_is_still_on_its_way_is_not_held() -> None:
    """The hold of the step `press` is written after the step has begun; until then nothing holds the guide."""
    assert judged(hold="[]").verdict is Verdict.VIOLATED


def test_a_splice_before_the_guide_has_guided_again_is_a_violation() -> None:
    """The guide needs up to 2 s; 0.6 s after the restart the next splice may begin."""
    assert judged(start="600ms").verdict is Verdict.VIOLATED


@pytest.mark.parametrize("failure", ["guide.sensor_drifts", "guide.hold_fails", "guide.sensor_lost"])
def test_a_failed_guide_leaves_the_offset_to_chance(failure: str) -> None:
    assert judged(under=f"fault {failure}").verdict is Verdict.VIOLATED


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (("3 mm", "1.2 mm"), "expected at least 1.5 mm, the guide's accuracy and the placing of the new web"),
        (
            ("guide: guide, drive", "guide: unwind, drive"),
            "expected a device of type web_guide, found 'unwind'",
        ),
        (("accuracy: 0.5 mm, ", ""), "expected a guide with accuracy, found 'guide'"),
        (("line: {speed: 120 m/min}\n", ""), "expected the section line with its speed"),
    ],
)
def test_what_is_missing_is_a_file_error(change: tuple[str, str], found: str) -> None:
    text = SPLICE.format(
        stop="[]", hold="[guide_hold]", ready="gc", start="3s", most="3 mm", under="no fault"
    )
    assert change[0] in text
    with pytest.raises(SequenceFileError, match=found):
        read_sequence_text(text.replace(*change), "guided.yaml")
