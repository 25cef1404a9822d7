"""What a new sequence can do and the old could not: exact shortest runs, and what is no difference at all."""

import json
from pathlib import Path

import pytest
from gate.workshop import PRESS

from seqcheck.cli.main import run
from seqcheck.compare.difference import Difference, Sameness, difference
from seqcheck.compare.order_search import OrderLimits
from seqcheck.reader.read import read_sequence_text

FLAGGED = PRESS.replace("alarms:", "flags: [was_open]\nalarms:").replace(
    "opening: {within", "opening: {do: [{was_open: S}], within"
).replace("press_request AND hood_closed", "press_request AND (was_open OR NOT was_open) AND hood_closed")  # fmt: skip


def between(old: str, new: str, limits: OrderLimits | None = None) -> Difference:
    return difference(read_sequence_text(old, "old.yaml"), read_sequence_text(new, "new.yaml"), limits)


def test_layout_comments_and_texts_are_the_same_behaviour() -> None:
    other = PRESS.replace("revision: 1", "note: words\nrevision: 2")
    other = other.replace("{type: guard, closed: hood_closed}", "\n    type: guard\n    closed: hood_closed")
    found = between(PRESS, other.replace("# A press", "# Some press"))
    assert found.sameness is Sameness.SAME_FORM
    assert found.parts == ()


def test_names_of_internal_flags_are_the_same_behaviour() -> None:
    found = between(FLAGGED, FLAGGED.replace("was_open", "opened_before"))
    assert found.sameness is Sameness.SAME_FORM


def test_two_flags_that_change_roles_are_not_the_same_form() -> None:
    """The names are exchanged in one place only, which is another program."""
    two = FLAGGED.replace("flags: [was_open]", "flags: [was_open, spare]")
    found = between(two, two.replace("(was_open OR", "(spare OR", 1))
    assert found.sameness is not Sameness.SAME_FORM


def test_a_flag_that_does_nothing_shows_nothing() -> None:
    """Not the same form, but no order of events tells the two apart."""
    found = between(PRESS, FLAGGED)
    assert found.sameness is Sameness.SAME_ORDERS
    assert found.gained.complete and found.lost.complete


def test_the_shortest_run_that_only_the_new_one_has() -> None:
    found = between(PRESS, PRESS.replace("press_request AND hood_closed AND press_open", "press_request AND press_open"))
    assert found.sameness is Sameness.DIFFERENT
    only = found.gained.found
    assert only is not None and only.witness.confirmed
    assert only.event == "controller reads: work enters pressing"
    assert [(line.time_us, line.what) for line in only.witness.lines] == [
        (0, "hood opens"),
        (0, "request presses"),
        (4_000, "controller reads: work enters pressing"),
    ]
    assert only.instead == ()
    assert [part.text for part in found.parts] == [
        "transition work.ready to pressing: press_request AND hood_closed AND press_open -> press_request AND press_open"
    ]


def test_the_reverse_is_told_from_the_other_side() -> None:
    old = PRESS.replace("press_request AND hood_closed AND press_open", "press_request AND press_open")
    found = between(old, PRESS)
    assert found.lost.found is not None
    assert found.lost.found.event == "controller reads: work enters pressing"


def test_another_output_is_seen() -> None:
    found = between(PRESS, PRESS.replace("opening: {within", "opening: {do: [press_close], within"))
    assert found.gained.found is not None and found.lost.found is not None
    assert found.lost.found.event == "outputs written: press_close off"
    assert "work.opening writes press_close N" in {part.where for part in found.parts}


def test_another_alarm_is_seen() -> None:
    """Only where it can be raised without failures: the watchdog is now shorter than the stroke."""
    found = between(PRESS, PRESS.replace("within: 400 ms", "within: 200 ms"))
    assert found.gained.found is not None
    assert any("alarm press_late" in line.what or line.time_us >= 200_000 for line in found.gained.found.witness.lines)


def test_longer_times_in_the_same_order_are_told_with_a_run() -> None:
    """By hand: a read enters the step, its write comes 0..4 ms later, the stroke takes 120..290 ms, the next read sees it up to
    10 ms later: at most 304 ms, was 264 ms."""
    found = between(PRESS, PRESS.replace("out: 120..250 ms", "out: 120..290 ms"))
    assert found.gained.found is None and found.lost.found is None
    (stay,) = found.stays
    assert (stay.step, stay.old.longest_us, stay.new.longest_us) == ("work.pressing", 264_000, 304_000)
    assert stay.run is not None and stay.run.confirmed


def test_a_bounded_search_says_so() -> None:
    found = between(PRESS, FLAGGED, OrderLimits(pairs=5))
    assert found.sameness is Sameness.NOT_DECIDED
    assert not found.gained.complete


@pytest.mark.parametrize(
    ("new", "code", "words"),
    [
        (PRESS.replace("revision: 1", "revision: 2"), 0, "Same behaviour"),
        (PRESS.replace("AND hood_closed AND press_open", "AND press_open"), 1, "What only the new one can do"),
        (PRESS.replace("out: 120..250", "out: 120..290"), 1, "Time in steps with a watchdog"),
        ("sequence: [", 2, ""),
    ],
)
def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str], new: str, code: int, words: str) -> None:
    old_path, new_path, json_path = tmp_path / "old.yaml", tmp_path / "new.yaml", tmp_path / "diff.json"
    old_path.write_text(PRESS, encoding="utf-8")
    new_path.write_text(new, encoding="utf-8")
    assert run(["diff", str(old_path), str(new_path), "--json", str(json_path)]) == code
    assert words in capsys.readouterr().out
    if code != 2:
        assert json.loads(json_path.read_text(encoding="utf-8"))["exit_code"] == code
    else:
        assert not json_path.exists()
