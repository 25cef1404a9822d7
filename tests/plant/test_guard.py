"""The guard, and the positions of its lock."""

from __future__ import annotations

import pytest
from plant_examples import behaviour, facts, failures, moves, ms, position, signal

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import to_text

PLAIN = behaviour("guard", lock=None, locked=None)
LOCKED = behaviour("guard")
SPRING = behaviour("guard", lock=None, unlock="hood_release")


def test_without_lock_it_may_be_opened_at_any_time() -> None:
    assert moves(PLAIN) == {"closed": ["opens (act) -> open"], "open": ["closes (act) -> closed"]}
    assert facts(PLAIN) == {"closed": "is_closed is_unlocked | closed", "open": "is_open is_unlocked |"}
    assert list(failures(PLAIN)) == ["closed_signal_stuck_on", "closed_signal_stuck_off"]


def test_with_lock_it_opens_only_while_the_bolt_is_not_in() -> None:
    assert moves(LOCKED) == {
        "closed": ["lock lock -> locking", "opens (act) -> open"],
        "open": ["closes (act) -> closed"],
        "locking": [
            "engage 20..80 -> locked",
            "unlock not lock -> resumed_unlocking",
            "opens (act) -> open",
        ],
        "locked": ["unlock not lock -> unlocking"],
        "unlocking": ["release 20..80 -> closed", "lock lock -> resumed_locking"],
        "resumed_locking": [
            "engage 0..80 -> locked",
            "unlock not lock -> resumed_unlocking",
            "opens (act) -> open",
        ],
        "resumed_unlocking": ["release 0..80 -> closed", "lock lock -> resumed_locking"],
    }


def test_facts_and_signals_with_lock() -> None:
    assert facts(LOCKED) == {
        "closed": "is_closed is_unlocked | closed",
        "open": "is_open is_unlocked |",
        "locking": "is_closed | closed",
        "locked": "is_closed is_locked | closed locked",
        "unlocking": "is_closed | closed",
        "resumed_locking": "is_closed | closed",
        "resumed_unlocking": "is_closed | closed",
    }


def test_bolt_times_may_be_given() -> None:
    subject = behaviour("guard", engage=ms(1, 2), release=ms(3, 4))
    assert moves(subject)["locking"][0] == "engage 1..2 -> locked"
    assert moves(subject)["unlocking"][0] == "release 3..4 -> closed"


def test_power_to_lock_is_found_unlocked_and_power_to_unlock_locked() -> None:
    assert (LOCKED.initial, SPRING.initial) == ("closed", "locked")
    assert to_text(LOCKED.drives[0].condition) == "hood_lock"
    assert to_text(SPRING.drives[0].condition) == "NOT hood_release"
    assert moves(SPRING) == moves(LOCKED)


def test_a_lock_that_does_not_hold_lets_the_guard_open_and_still_says_locked() -> None:
    failed = moves(LOCKED, "not_holding")
    assert failed["locked"] == ["unlock not lock -> unlocking", "opens (act) -> forced_open"]
    assert failed["unlocking"] == [
        "release 20..80 -> closed",
        "lock lock -> resumed_locking",
        "opens (act) -> open",
    ]
    assert failed["forced_open"] == ["unlock not lock -> open", "closes (act) -> locked"]
    assert facts(LOCKED, "not_holding")["forced_open"] == "is_open | locked"
    assert position(LOCKED, "forced_open", "not_holding").repaired_as == "open"
    assert failed["closed"] == moves(LOCKED)["closed"]


def test_a_bolt_that_does_not_come_out_stays_in() -> None:
    assert moves(LOCKED, "not_releasing") == {
        "closed": ["lock lock -> locking", "opens (act) -> open"],
        "open": ["closes (act) -> closed"],
        "locking": ["engage 20..80 -> locked", "opens (act) -> open"],
        "locked": [],
        "resumed_locking": ["engage 0..80 -> locked", "opens (act) -> open"],
    }
    assert position(LOCKED, "unlocking").fails_as == (("not_releasing", "locked"),)


def test_failures_with_lock() -> None:
    assert list(failures(LOCKED))[:2] == ["lock_does_not_hold", "lock_does_not_release"]
    assert "locked_signal_stuck_on" in failures(LOCKED)


def test_two_kinds_of_lock_are_a_file_error() -> None:
    with pytest.raises(SequenceFileError, match="expected either lock or unlock, found both"):
        behaviour("guard", unlock="hood_release")


def test_values_of_a_lock_without_one_are_a_file_error() -> None:
    with pytest.raises(SequenceFileError, match="expected an output lock or unlock with it, found neither"):
        behaviour("guard", lock=None, locked=signal("hood_locked"))


def test_an_escape_release_opens_the_guard_from_inside_locked_or_not() -> None:
    subject = behaviour("guard", escape="release")
    for place in subject.positions:
        ways = [move.to for move in place.moves if move.act == "escapes"]
        assert ways == (["open"] if "is_closed" in place.facts else []), place


def test_an_escape_release_without_a_lock_is_refused() -> None:
    with pytest.raises(SequenceFileError):
        behaviour("guard", lock=None, locked=None, escape="release")
