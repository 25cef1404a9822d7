"""The valve: opens, closes, sticks."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, position

VALVE = behaviour("valve")


def test_healthy_moves() -> None:
    assert moves(VALVE) == {
        "closed": ["go_open output -> opening"],
        "open": ["go_closed not output -> closing"],
        "opening": ["reach_open 30..60 -> open", "go_closed not output -> resumed_closing"],
        "closing": ["reach_closed 40..80 -> closed", "go_open output -> resumed_opening"],
        "resumed_opening": ["reach_open 0..60 -> open", "go_closed not output -> resumed_closing"],
        "resumed_closing": ["reach_closed 0..80 -> closed", "go_open output -> resumed_opening"],
    }


def test_facts_and_signals() -> None:
    assert facts(VALVE) == {
        "closed": "is_closed | closed",
        "open": "is_open | opened",
        "opening": "is_moving |",
        "closing": "is_moving |",
        "resumed_opening": "is_moving |",
        "resumed_closing": "is_moving |",
    }


def test_it_sticks_where_it_is() -> None:
    assert moves(VALVE, "stuck") == {"closed": [], "open": [], "opening": [], "closing": []}
    assert facts(VALVE, "stuck") == {
        "closed": "is_closed | closed",
        "open": "is_open | opened",
        "opening": "|",
        "closing": "|",
    }
    assert position(VALVE, "opening", "stuck").repaired_as == "resumed_opening"


def test_failures_without_signals() -> None:
    assert failures(behaviour("valve", opened=None, closed=None)) == {"sticks": "stuck"}


def test_with_two_solenoids_it_keeps_its_place() -> None:
    subject = behaviour("valve", opposite="air_off")
    assert moves(subject)["open"] == ["go_closed not output opposite -> closing"]
    assert moves(subject)["closed"] == ["go_open output not opposite -> opening"]
