"""The roll: runs low, runs out while the unwind runs, is replaced."""

from __future__ import annotations

import pytest
from plant_examples import behaviour, facts, failures, moves, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import to_text

ROLL = behaviour("roll")


def test_moves() -> None:
    assert moves(ROLL) == {
        "plenty": ["runs_low unwinding (act) -> low"],
        "low": [
            "run_out 20000..30000 -> empty",
            "stands not unwinding -> low_standing",
            "replaced (act) -> plenty",
        ],
        "resumed_low": [
            "run_out 0..30000 -> empty",
            "stands not unwinding -> low_standing",
            "replaced (act) -> plenty",
        ],
        "low_standing": ["goes_on unwinding -> resumed_low", "replaced (act) -> plenty"],
        "empty": ["replaced (act) -> plenty"],
    }


def test_facts() -> None:
    assert facts(ROLL) == {
        "plenty": "|",
        "low": "is_low | low",
        "resumed_low": "is_low | low",
        "low_standing": "is_low | low",
        "empty": "is_empty is_low | low",
    }


def test_running_low_is_no_act_of_the_operator_but_replacing_is() -> None:
    assert position(ROLL, "plenty").moves[0].unobserved
    assert not position(ROLL, "empty").moves[0].unobserved


def test_it_is_used_up_while_the_unwind_is_at_speed() -> None:
    (drive,) = ROLL.drives
    assert (drive.role, to_text(drive.condition)) == ("unwinding", "unwind.is_at_speed")


def test_a_low_signal_needs_the_remaining_time() -> None:
    with pytest.raises(SequenceFileError, match="a field 'remaining' of part"):
        behaviour("roll", remaining=None)


def test_without_signal_and_time_it_may_run_out_whenever() -> None:
    subject = behaviour("roll", low=None, remaining=None)
    assert moves(subject)["low"][0] == "run_out 0..any -> empty"
    assert subject.wires == ()


def test_failures() -> None:
    assert list(failures(ROLL)) == ["low_signal_stuck_on", "low_signal_stuck_off"]
