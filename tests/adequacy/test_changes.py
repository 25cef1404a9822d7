"""Which changes there are, and what each of them does to the sequence."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from seqcheck.adequacy.change import Change, ChangeKind
from seqcheck.adequacy.changes import changes_of
from seqcheck.adequacy.terms import term_changes
from seqcheck.errors import Place
from seqcheck.language.expression import parse_expression, to_text
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence, read_sequence_text

PRESS = Path(__file__).parent / "press.yaml"
PLACE = Place("trial.yaml", 1, 1)

STORED = """
sequence: Stored
scan: {period: 10..10 ms, write: 0 ms}
devices:
  clamp: {type: vacuum, output: clamp_close, build: 60..90 ms, decay: 0..0 ms, made: clamp_held}
  go: {type: pushbutton, pressed: go_pressed}
charts:
  main:
    open: {initial: true, do: [{clamp_close: R}], next: {shut: go_pressed}}
    shut: {do: [{clamp_close: S}], next: {open: NOT go_pressed}}
    any step but open: {next: {open: shut.T >= T#1s}}
"""


def changed(sequence: Sequence, text: str) -> Change:
    """The one change with this text."""
    [found] = [change for change in changes_of(sequence) if change.text == text]
    return found


def test_the_changes_of_a_small_sequence_are_exactly_these() -> None:
    changes = changes_of(read_sequence(PRESS))
    found = [(part.kind.value, f"{part.place.line}:{part.place.column}", part.text) for part in changes]
    assert found == [
        ("drop-term", "11:45", "'requested' dropped on the way main.ready to pressing"),
        ("negate-term", "11:45", "'requested' negated on the way main.ready to pressing"),
        ("drop-term", "11:59", "'hood_closed' dropped on the way main.ready to pressing"),
        ("negate-term", "11:59", "'hood_closed' negated on the way main.ready to pressing"),
        ("drop-term", "16:21", "'NOT hood_closed' dropped on the way main.pressing to ready"),
        ("negate-term", "16:21", "'NOT hood_closed' negated on the way main.pressing to ready"),
        ("drop-term", "16:44", "'hood_closed' dropped on the way main.pressing to held"),
        ("negate-term", "16:44", "'hood_closed' negated on the way main.pressing to held"),
        ("drop-term", "16:60", "'pressed' dropped on the way main.pressing to held"),
        ("negate-term", "16:60", "'pressed' negated on the way main.pressing to held"),
        ("drop-term", "17:45", "'main.held.T >= T#50ms' dropped on the way main.held to ready"),
        ("negate-term", "17:45", "'main.held.T >= T#50ms' negated on the way main.held to ready"),
        ("drop-term", "8:48", "'requested' dropped where alarm press_late is cleared"),
        ("negate-term", "8:48", "'requested' negated where alarm press_late is cleared"),
        ("swap-priority", "16:38", "the way main.pressing to ready after that to held"),
        ("retarget", "11:35", "the way main.ready to pressing leads to held"),
        ("retarget", "16:14", "the way main.pressing to ready leads to held"),
        ("retarget", "16:38", "the way main.pressing to held leads to ready"),
        ("retarget", "17:38", "the way main.held to ready leads to pressing"),
        ("remove-watchdog", "15:14", "watchdog of 150 ms in main.pressing removed"),
        ("stretch-watchdog", "15:14", "watchdog of 150 ms in main.pressing stretched to 300 ms"),
        ("drop-action", "13:12", "press_close dropped in main.pressing"),
        ("drop-action", "17:17", "press_close dropped in main.held"),
        ("extend-action", "11:5", "press_close left on in main.ready"),
        ("widen-range", "5:32", "press.out takes up to 180 ms"),
        ("widen-range", "5:49", "press.back takes up to 160 ms"),
    ]


def test_each_change_is_in_one_place_of_the_dataclasses_and_leaves_the_original_alone() -> None:
    original, again = read_sequence(PRESS), read_sequence(PRESS)
    for change in changes_of(original):
        assert change.sequence != original
        differing = [name for name in ("devices", "alarms", "charts") if getattr(change.sequence, name) != getattr(original, name)]
        assert len(differing) == 1
    assert original == again


def test_a_reset_of_what_is_stored_is_dropped_as_such_and_a_common_way_is_changed_for_all_its_steps() -> None:
    sequence = read_sequence_text(STORED, "stored.yaml")
    reset = changed(sequence, "reset of clamp_close dropped in main.open")
    assert reset.kind is ChangeKind.DROP_RESET
    assert reset.sequence.chart("main").initial.actions == ()
    common = changed(sequence, "the way main.any step to open leads to shut")
    assert [way.target for way in common.sequence.chart("main").common[0].transitions] == ["shut"]


def test_a_range_that_takes_no_time_is_not_widened_and_another_one_is_twice_as_long() -> None:
    sequence = read_sequence_text(STORED, "stored.yaml")
    [wide] = changes_of(sequence, (ChangeKind.WIDEN_RANGE,))
    device = wide.sequence.device("clamp")
    assert device is not None
    assert device.value("build", TimeRange) == TimeRange(60_000, 180_000)


def test_only_some_kinds_may_be_asked_for() -> None:
    kinds = Counter(change.kind for change in changes_of(read_sequence(PRESS), (ChangeKind.RETARGET, ChangeKind.SWAP_PRIORITY)))
    assert kinds == {ChangeKind.RETARGET: 4, ChangeKind.SWAP_PRIORITY: 1}


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        ("a", [("a", True, "TRUE"), ("a", False, "NOT a")]),
        ("NOT a", [("NOT a", True, "TRUE"), ("NOT a", False, "a")]),
        ("a AND b", [("a", True, "b"), ("a", False, "NOT a AND b"), ("b", True, "a"), ("b", False, "a AND NOT b")]),
        (
            "a AND (b OR c)",
            [
                ("a", True, "b OR c"),
                ("a", False, "NOT a AND (b OR c)"),
                ("b OR c", True, "a"),
                ("b", True, "a AND c"),
                ("b", False, "a AND (NOT b OR c)"),
                ("c", True, "a AND b"),
                ("c", False, "a AND (b OR NOT c)"),
            ],
        ),
        (
            "NOT (a OR b)",
            [
                ("NOT (a OR b)", True, "TRUE"),
                ("a", True, "NOT b"),
                ("a", False, "NOT (NOT a OR b)"),
                ("b", True, "NOT a"),
                ("b", False, "NOT (a OR NOT b)"),
            ],
        ),
        (
            "a AND s.T >= T#1s",
            [
                ("a", True, "s.T >= T#1s"),
                ("a", False, "NOT a AND s.T >= T#1s"),
                ("s.T >= T#1s", True, "a AND (s.T >= T#1s OR NOT (s.T >= T#1s))"),
                ("s.T >= T#1s", False, "a AND NOT (s.T >= T#1s)"),
            ],
        ),
    ],
)
def test_terms_are_dropped_and_negated(condition: str, expected: list[tuple[str, bool, str]]) -> None:
    """A timer whose term is dropped stays where nobody looks at it, so that the controller keeps its memory."""
    changes = term_changes(parse_expression(condition, PLACE))
    found = [(to_text(part.term), part.is_dropped, to_text(part.condition)) for part in changes]
    assert found == expected
