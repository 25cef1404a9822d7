"""The decurler: engaged, backed off, jammed, slow, or not where the diameter wants it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plant_examples import MACHINE, behaviour, facts, moves, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import Roll, Web

DECURLER = behaviour("decurler")
ROLL = replace(MACHINE, roll=Roll(outside_mm=1200, core_mm=76), web=Web(caliper_mm=0.45))


def test_it_takes_the_shortest_way_at_the_fastest_rate_to_the_longest_at_the_slowest() -> None:
    """20 mm at 42 mm/s takes 476 ms, 60 mm at 38 mm/s takes 1579 ms."""
    assert moves(DECURLER) == {
        "home": ["go_in_range engage -> engaging"],
        "in_range": ["go_home not engage -> backing_off"],
        "engaging": [
            "reach_in_range 476.19..1578.95 -> in_range",
            "go_home not engage -> resumed_backing_off",
        ],
        "backing_off": ["reach_home 476.19..1578.95 -> home", "go_in_range engage -> resumed_engaging"],
        "resumed_engaging": [
            "reach_in_range 0..1578.95 -> in_range",
            "go_home not engage -> resumed_backing_off",
        ],
        "resumed_backing_off": ["reach_home 0..1578.95 -> home", "go_in_range engage -> resumed_engaging"],
    }


def test_facts() -> None:
    shown = facts(DECURLER)
    assert (shown["home"], shown["in_range"]) == ("is_backed_off | home", "is_in_range | in_range")
    assert shown["engaging"] == shown["resumed_backing_off"] == "is_moving |"


def test_out_of_range_it_can_still_be_backed_off_and_its_switch_does_not_say_in_range() -> None:
    assert position(DECURLER, "in_range").fails_as == (("does_not_follow", "out_of_range"),)
    assert facts(DECURLER, "does_not_follow")["out_of_range"] == "|"
    assert moves(DECURLER, "does_not_follow")["out_of_range"] == [
        "withdraw not engage -> resumed_withdrawing"
    ]
    assert facts(DECURLER, "does_not_follow")["withdrawn"] == "is_backed_off | home"


def test_slow_it_takes_up_to_three_times_as_long() -> None:
    assert moves(DECURLER, "slow")["engaging"][0].startswith("reach_in_range 476.19..4736.8")


def test_a_rate_that_does_not_keep_up_with_the_roll_near_its_core_is_a_file_error() -> None:
    """At 240 m/min on a core of 76 mm the position moves at 2 b c v / (pi d^3) = 8.47 mm/s."""
    assert behaviour("decurler", ROLL, rate=0.0090) is not None
    with pytest.raises(SequenceFileError, match=r"at least 8\.9\d? mm/s"):
        behaviour("decurler", ROLL, rate=0.0085)


def test_a_position_at_home_is_no_position() -> None:
    with pytest.raises(SequenceFileError, match="expected positions away from home, found 0 mm"):
        behaviour("decurler", at___full=0.0)
