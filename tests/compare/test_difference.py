"""What a new sequence can do and the old could not: exact shortest runs, and what is no difference at all."""

import json
from pathlib import Path

import pytest
from gate.workshop import PRESS

from seqcheck.cli.main import run
from seqcheck.compare.canonical import behaviour_form
from seqcheck.compare.difference import Difference, Sameness, _direction, _ordered, _parted, difference
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
    assert only.event == "controller: work enters pressing, press_close on"
    assert [(line.time_us, line.what) for line in only.witness.lines] == [
        (4_000, "hood opens"),
        (4_000, "request presses"),
        (4_000, "controller reads: work enters pressing"),
    ]
    assert only.at_same_times and not only.witness.faults
    assert only.instead == ()
    assert [part.text for part in found.parts] == [
        "transition work.ready to pressing: press_request AND hood_closed AND press_open -> press_request AND press_open"
    ]


def test_the_reverse_is_told_from_the_other_side() -> None:
    old = PRESS.replace("press_request AND hood_closed AND press_open", "press_request AND press_open")
    found = between(old, PRESS)
    assert found.lost.found is not None
    assert found.lost.found.event == "controller: work enters pressing, press_close on"


def test_another_output_is_seen() -> None:
    found = between(PRESS, PRESS.replace("opening: {within", "opening: {do: [press_close], within"))
    assert found.gained.found is not None and found.lost.found is not None
    assert found.lost.found.event == "controller: work enters opening, press_close off"
    assert found.lost.found.instead == ("controller: work enters opening",)
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
    """With a device of another text the two are not run side by side."""
    found = between(PRESS, FLAGGED.replace("hazard: crush", "hazard: cut"), OrderLimits(pairs=5))
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


def test_a_difference_that_needs_a_failure_is_found_with_it() -> None:
    """Both switches of a press are on only if one of them is stuck."""
    found = between(PRESS, PRESS.replace("{ready: press_open}", "{ready: press_open AND NOT press_closed}"))
    assert found.gained.found is None and found.gained.failures_covered
    only = found.lost.found
    assert only is not None and only.witness.confirmed
    assert only.witness.faults == 1
    assert only.event == "controller: work enters ready"


CHANGES = {
    "a longer watchdog": ("within: 400 ms", "within: 450 ms"),
    "a shorter watchdog": ("within: 400 ms", "within: 250 ms"),
    "a dropped way": ("next: {opening: press_closed, ready: NOT hood_closed}", "next: {opening: press_closed}"),
    "ways in another order": (
        "{opening: press_closed, ready: NOT hood_closed}", "{ready: NOT hood_closed, opening: press_closed}",
    ),
    "another target": ("{ready: press_open}", "{pressing: press_open}"),
    "a least time in a step": ("{ready: press_open}", "{ready: press_open AND opening.T >= T#150ms}"),
    "a step more": (
        "{ready: press_open}}", "{resting: press_open}}\n    resting: {next: {ready: resting.T >= T#20ms}}",
    ),
    "an edge": ("{pressing: press_request AND", "{pressing: RISING(press_request) AND"),
    "a flag that does nothing": ("alarms:", "flags: [idle]\nalarms:"),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_two_ways_to_compare_agree(name: str) -> None:
    """Side by side at one machine (times too), and by sets of states (orders alone): what the second tells apart the first must."""
    old, new = (read_sequence_text(text, "press.yaml") for text in (PRESS, PRESS.replace(*CHANGES[name])))
    limits = OrderLimits()
    parted = [_parted(*pair, limits) for pair in ((new, old), (old, new))]
    ordered = [_ordered(*pair, limits) for pair in ((new, old), (old, new))]
    assert all(part is not None and part.complete for part in parted)
    found = [part.found for part in parted if part is not None and part.found is not None]
    assert all(only.witness.confirmed for only in found)
    without_failure = any(not only.witness.faults for only in found)
    if any(part.found for part in ordered):
        assert without_failure
    assert bool(found) == (name != "a flag that does nothing")


def test_one_slip_in_a_large_file_is_found() -> None:
    """The bundled butt splice with a clamp that is not waited for long enough: no order differs by that without its times."""
    path = Path(__file__).parents[2] / "sequences/wipes_line_butt_splice.yaml"
    text = path.read_text(encoding="utf-8")
    old, new = (
        read_sequence_text(part, str(path)) for part in (text, text.replace("clamping.T >= T#260ms", "clamping.T >= T#240ms"))
    )
    assert behaviour_form(old) != behaviour_form(new)
    gained = _direction(new, old, OrderLimits())
    assert gained.found is not None and gained.complete
    assert gained.found.event == "controller: splice enters cutting, knife_fire on"
    assert gained.found.witness.confirmed
