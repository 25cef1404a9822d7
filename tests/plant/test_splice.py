"""The splice and its detector: as it should be, missed, doubled, out of tolerance."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, position

SPLICE = behaviour("splice")


def test_it_is_made_travels_while_the_web_runs_passes_and_is_past() -> None:
    assert moves(SPLICE) == {
        "none": ["make made -> made"],
        "made": ["start runs -> travelling"],
        "travelling": ["arrive 900..1500 -> passing", "stop not runs -> waiting"],
        "resumed_travelling": ["arrive 0..1500 -> passing", "stop not runs -> waiting"],
        "waiting": ["start runs -> resumed_travelling"],
        "passing": ["pass 20..60 -> past", "stop not runs -> stopped_passing"],
        "resumed_passing": ["pass 0..60 -> past", "stop not runs -> stopped_passing"],
        "stopped_passing": ["start runs -> resumed_passing"],
        "past": ["forget not made -> none"],
    }


def test_the_detector_tells_that_it_passes_and_web_is_there_all_the_time() -> None:
    shown = facts(SPLICE)
    assert shown["passing"] == shown["stopped_passing"] == "is_made is_passing | seen web"
    assert shown["travelling"] == "is_made | web"
    assert shown["none"] == shown["past"] == "| web"


def test_without_tape_the_webs_part_once_pulled_and_no_web_comes() -> None:
    assert moves(SPLICE, "missed") == {
        "missed_made": ["start runs -> missed_travelling"],
        "missed_travelling": ["part 0..1500 -> missed_parted", "stop not runs -> missed_made"],
        "missed_resumed_travelling": ["part 0..1500 -> missed_parted", "stop not runs -> missed_made"],
        "missed_parted": [],
    }
    assert facts(SPLICE, "missed")["missed_parted"] == "is_missing is_parted |"
    assert facts(SPLICE, "missed")["missed_made"] == "is_missing | web"
    assert position(SPLICE, "missed_parted", "missed").repaired_as == "none"


def test_a_doubled_splice_and_one_out_of_tolerance_are_told_as_they_pass_and_made_again() -> None:
    assert facts(SPLICE, "doubled")["doubled_passing"] == "is_double is_made is_passing | double seen web"
    assert facts(SPLICE, "out_of_tolerance")["out_of_tolerance_passing"] == (
        "is_made is_out_of_tolerance is_passing | off seen web"
    )
    assert moves(SPLICE, "doubled")["doubled_none"] == ["make made -> doubled_made"]


def test_a_splice_can_only_be_a_wrong_one_between_the_making_and_the_detector() -> None:
    failing = {part.name for part in SPLICE.positions if part.fails_as}
    assert failing == {"made", "travelling", "resumed_travelling"}
    assert list(failures(SPLICE))[:3] == ["missed", "doubled", "out_of_tolerance"]
