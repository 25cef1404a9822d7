"""A supply of air or control power: it falls, comes back, is lost, or cannot be switched off."""

from __future__ import annotations

import pytest
from plant_examples import behaviour, facts, failures, moves, position

from seqcheck.errors import SequenceFileError

SUPPLY = behaviour("supply")
PERMANENT = behaviour("supply", while_=None)


def test_until_the_end_of_its_fall_it_is_on_and_until_the_end_of_its_rise_it_is_not() -> None:
    assert facts(SUPPLY) == {
        "off": "is_off |",
        "on": "is_on | signal",
        "returning": "is_changing |",
        "failing": "is_changing is_on |",
        "resumed_returning": "is_changing |",
        "resumed_failing": "is_changing is_on |",
        "resumed_ebbing": "is_changing |",
    }


def test_it_follows_its_condition() -> None:
    assert moves(SUPPLY)["on"] == ["go_off not while -> failing"]
    assert moves(SUPPLY)["failing"] == ["reach_off 100..400 -> off", "go_on while -> resumed_returning"]
    assert moves(SUPPLY)["off"] == ["go_on while -> returning"]
    assert moves(SUPPLY)["returning"] == ["reach_on 500..900 -> on", "go_off not while -> resumed_ebbing"]


def test_lost_before_it_was_on_it_is_on_at_no_moment() -> None:
    assert moves(SUPPLY)["resumed_ebbing"] == ["ebb 0..400 -> off", "go_on while -> resumed_returning"]


def test_lost_it_falls_and_does_not_come_back() -> None:
    assert moves(SUPPLY, "lost") == {
        "off": [],
        "failing": ["reach_off 100..400 -> off"],
        "resumed_failing": ["reach_off 0..400 -> off"],
    }
    assert position(SUPPLY, "on").fails_as == (("lost", "failing"),)
    assert ("lost", "off") in position(SUPPLY, "returning").fails_as


def test_one_that_nothing_switches_is_lost_by_its_failure_alone_and_rises_after_repair() -> None:
    assert moves(PERMANENT) == {
        "on": [],
        "returning": ["reach_on 500..900 -> on"],
        "resumed_returning": ["reach_on 0..900 -> on"],
    }
    assert position(PERMANENT, "off", "lost").repaired_as == "returning"
    assert position(PERMANENT, "failing", "lost").repaired_as == "resumed_returning"
    assert list(failures(PERMANENT))[:1] == ["lost"]
    assert "stays_on" not in failures(PERMANENT)


def test_one_that_stays_on_does_not_fall() -> None:
    assert moves(SUPPLY, "stays_on")["on"] == []
    assert moves(SUPPLY, "stays_on")["off"] == ["go_on while -> returning"]


def test_one_that_nothing_switches_cannot_be_found_off() -> None:
    with pytest.raises(SequenceFileError, match="that may be off, found off"):
        behaviour("supply", while_=None, initially="off")
