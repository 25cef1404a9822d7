"""The web: whole, or broken by a failure."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, position

WEB = behaviour("web_break")


def test_it_breaks_by_failure_and_is_threaded_by_repair() -> None:
    assert moves(WEB) == {"whole": []}
    assert facts(WEB) == {"whole": "is_whole |"}
    assert moves(WEB, "broken") == {"broken": []}
    assert facts(WEB, "broken") == {"broken": "is_broken | broken"}
    assert position(WEB, "whole").fails_as == (("broken", "broken"),)
    assert position(WEB, "broken", "broken").repaired_as == "whole"


def test_failures() -> None:
    assert failures(WEB) == {
        "breaks": "broken",
        "broken_signal_stuck_on": "stuck_on | broken",
        "broken_signal_stuck_off": "stuck_off | broken",
    }
