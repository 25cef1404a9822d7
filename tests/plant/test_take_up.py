"""The take-up: an accumulator in the mirror, with words and numbers of its own."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plant_examples import MACHINE, behaviour, facts, failures, moves, ms, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import to_text
from seqcheck.language.sequence import MachineData
from seqcheck.quantities.time import TimeRange

TAKE_UP = behaviour("take_up", empty_time=ms(5_000, 6_000))


def test_empty_time_from_machine_data() -> None:
    """(0.20 - 0.08) x 1.5 m x 12 = 2.16 m at 4 m/s x 10 % = 0.4 m/s take 5.4 s; 0.9 of it, over 0.9. Worked by hand."""
    (reach, *_) = position(behaviour("take_up"), "emptying").moves
    assert reach.after == TimeRange(4_860_000, 6_000_000)


def test_draining_may_begin_as_high_as_filled() -> None:
    """From 95 to 20 % is 6.25 times as far as from 20 to 8 %: up to 37.5 s to the running level. Worked by hand."""
    assert position(TAKE_UP, "draining").moves[0].after == TimeRange(0, 37_500_000)


def test_healthy_moves() -> None:
    assert moves(TAKE_UP) == {
        "running": ["stall not taken_away -> taken_up_below", "empty empty taken_away -> emptying"],
        "emptying": [
            "reach_emptied 5000..6000 -> emptied",
            "stall not taken_away -> taken_up_below",
            "rise not empty taken_away -> resumed_rising",
        ],
        "emptied": [
            "take_up not taken_away not supplied -> taken_up_emptied_switch",
            "rise not empty taken_away -> rising_emptied_switch",
        ],
        "rising_emptied_switch": [
            "clear_emptied 0..200 pulled -> rising",
            "release_emptied 0..any not pulled -> rising",
            "reach_running 0..6000 -> running",
            "take_up not taken_away not supplied -> taken_up_emptied_switch",
            "empty empty taken_away -> resumed_emptying",
        ],
        "rising": [
            "reach_running 0..6000 -> running",
            "stall not taken_away -> taken_up_below",
            "empty empty taken_away -> resumed_emptying",
        ],
        "resumed_emptying": [
            "reach_emptied 0..6000 -> emptied",
            "stall not taken_away -> taken_up_below",
            "rise not empty taken_away -> resumed_rising",
        ],
        "resumed_rising": [
            "reach_running 0..6000 -> running",
            "stall not taken_away -> taken_up_below",
            "empty empty taken_away -> resumed_emptying",
        ],
        "taken_up_emptied_switch": [
            "clear_emptied 0..200 pulled -> taken_up_below",
            "release_emptied 0..any not pulled -> taken_up_below",
            "drain empty taken_away -> resumed_emptying",
            "settle not empty taken_away -> resumed_rising",
        ],
        "taken_up_below": [
            "rise_above_running 0..any not taken_away not supplied -> taken_up",
            "drain empty taken_away -> resumed_emptying",
            "settle not empty taken_away -> resumed_rising",
        ],
        "taken_up": ["drain empty taken_away -> draining", "settle not empty taken_away -> settling"],
        "draining": [
            "reach_running 0..37500 -> emptying",
            "stall not taken_away -> taken_up",
            "settle not empty taken_away -> settling",
        ],
        "settling": [
            "reach_running 0..37500 -> running",
            "stall not taken_away -> taken_up",
            "drain empty taken_away -> draining",
        ],
    }


def test_facts_signals_and_contacts_have_its_own_words() -> None:
    shown = facts(TAKE_UP)
    assert shown["emptied"] == "is_emptied is_running_level | emptied running"
    assert shown["taken_up"] == "is_taken_up |"
    assert TAKE_UP.facts == ("is_emptied", "is_running_level", "is_taken_up")
    assert list(failures(TAKE_UP)) == [
        "emptied_signal_stuck_on",
        "emptied_signal_stuck_off",
        "running_signal_stuck_on",
        "running_signal_stuck_off",
    ]


def test_web_goes_while_the_rewind_is_at_speed() -> None:
    conditions = {drive.role: to_text(drive.condition) for drive in TAKE_UP.drives}
    assert conditions == {
        "empty": "empty_take_up",
        "taken_away": "rewind.is_at_speed",
        "supplied": "rewind.is_at_speed OR line.is_stopped",
        "pulled": "line.is_at_speed",
    }


def test_without_numbers_an_empty_time_is_asked_for() -> None:
    for machine in (MachineData(), replace(MACHINE, rewind=None)):
        with pytest.raises(SequenceFileError, match="a field 'empty_time' of part, or machine data that give it"):
            behaviour("take_up", machine)


def test_an_emptied_level_at_the_running_level_gives_no_time() -> None:
    assert MACHINE.accumulator is not None
    machine = replace(MACHINE, accumulator=replace(MACHINE.accumulator, emptied_ratio=0.2))
    with pytest.raises(SequenceFileError, match="emptied at or above running"):
        behaviour("take_up", machine)
