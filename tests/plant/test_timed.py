"""The generic device of which only times are known."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, ms, position

TIMED = behaviour("timed")


def test_healthy_moves() -> None:
    assert moves(TIMED) == {
        "off": ["go_on output -> turning_on"],
        "on": ["go_off not output -> turning_off"],
        "turning_on": ["reach_on 100..200 -> on", "go_off not output -> resumed_turning_off"],
        "turning_off": ["reach_off 300..400 -> off", "go_on output -> resumed_turning_on"],
        "resumed_turning_on": ["reach_on 0..200 -> on", "go_off not output -> resumed_turning_off"],
        "resumed_turning_off": ["reach_off 0..400 -> off", "go_on output -> resumed_turning_on"],
    }


def test_facts() -> None:
    assert facts(TIMED)["off"] == "is_off |"
    assert facts(TIMED)["on"] == "is_on | signal"
    assert facts(TIMED)["turning_on"] == facts(TIMED)["resumed_turning_off"] == "is_changing |"


def test_a_change_of_no_time_happens_at_once() -> None:
    assert moves(behaviour("timed", on=ms(0, 0))) == {
        "off": ["go_on output -> on"],
        "on": ["go_off not output -> turning_off"],
        "turning_off": ["reach_off 300..400 -> off", "go_on output -> on"],
        "resumed_turning_off": ["reach_off 0..400 -> off", "go_on output -> on"],
    }


def test_staying_on_it_still_turns_on() -> None:
    assert moves(TIMED, "stays_on") == {
        "off": ["go_on output -> turning_on"],
        "on": [],
        "turning_on": ["reach_on 100..200 -> on"],
        "turning_off": ["go_on output -> resumed_turning_on"],
        "resumed_turning_on": ["reach_on 0..200 -> on"],
    }
    assert position(TIMED, "turning_off", "stays_on").repaired_as == "resumed_turning_off"
    assert position(TIMED, "turning_on", "stays_on").repaired_as is None
    assert position(TIMED, "resumed_turning_off").fails_as == (("stays_on", "turning_off"),)


def test_staying_off_it_still_turns_off() -> None:
    assert moves(TIMED, "stays_off") == {
        "off": [],
        "on": ["go_off not output -> turning_off"],
        "turning_on": ["go_off not output -> resumed_turning_off"],
        "turning_off": ["reach_off 300..400 -> off"],
        "resumed_turning_off": ["reach_off 0..400 -> off"],
    }


def test_failures() -> None:
    assert failures(TIMED) == {
        "stays_on": "stays_on",
        "stays_off": "stays_off",
        "signal_signal_stuck_on": "stuck_on | signal",
        "signal_signal_stuck_off": "stuck_off | signal",
    }
