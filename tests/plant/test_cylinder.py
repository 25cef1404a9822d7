"""The cylinder: positions, bands, turning round, jams, slowness, and a valve that sticks."""

from __future__ import annotations

import pytest
from plant_examples import PLACE, behaviour, facts, failures, moves, ms, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import And, Name
from seqcheck.quantities.time import TimeRange

CYLINDER = behaviour("cylinder")
PLAIN = behaviour("cylinder", switches__out=None, switches__home=None, switches__band=None)


def test_healthy_moves_with_bands() -> None:
    assert moves(CYLINDER) == {
        "home": ["go_out output -> leaving_home"],
        "out": ["go_home not output -> leaving_out"],
        "leaving_home": [
            "clear_home 5..40 -> going_out",
            "reach_out 120..250 -> arriving_out",
            "go_home not output -> resumed_arriving_home",
        ],
        "going_out": ["reach_out 120..250 -> arriving_out", "go_home not output -> resumed_going_back"],
        "arriving_out": ["settle_out 5..40 -> out", "go_home not output -> resumed_leaving_out"],
        "leaving_out": [
            "clear_out 5..40 -> going_back",
            "reach_home 100..220 -> arriving_home",
            "go_out output -> resumed_arriving_out",
        ],
        "going_back": ["reach_home 100..220 -> arriving_home", "go_out output -> resumed_going_out"],
        "arriving_home": ["settle_home 5..40 -> home", "go_out output -> resumed_leaving_home"],
        "resumed_leaving_home": [
            "clear_home 0..250 -> resumed_going_out",
            "reach_out 0..250 -> arriving_out",
            "go_home not output -> resumed_arriving_home",
        ],
        "resumed_going_out": ["reach_out 0..250 -> arriving_out", "go_home not output -> resumed_going_back"],
        "resumed_arriving_out": ["settle_out 0..250 -> out", "go_home not output -> resumed_leaving_out"],
        "resumed_leaving_out": [
            "clear_out 0..220 -> resumed_going_back",
            "reach_home 0..220 -> arriving_home",
            "go_out output -> resumed_arriving_out",
        ],
        "resumed_going_back": ["reach_home 0..220 -> arriving_home", "go_out output -> resumed_going_out"],
        "resumed_arriving_home": ["settle_home 0..220 -> home", "go_out output -> resumed_leaving_home"],
    }


def test_without_switches_there_are_no_bands() -> None:
    assert moves(PLAIN) == {
        "home": ["go_out output -> going_out"],
        "out": ["go_home not output -> going_back"],
        "going_out": ["reach_out 120..250 -> out", "go_home not output -> resumed_going_back"],
        "going_back": ["reach_home 100..220 -> home", "go_out output -> resumed_going_out"],
        "resumed_going_out": ["reach_out 0..250 -> out", "go_home not output -> resumed_going_back"],
        "resumed_going_back": ["reach_home 0..220 -> home", "go_out output -> resumed_going_out"],
    }


def test_a_band_of_no_time_is_no_band_but_the_switches_stay() -> None:
    subject = behaviour("cylinder", switches__band=ms(0, 0))
    assert facts(subject)["home"] == "is_home | home"
    assert facts(subject)["out"] == "is_out | out"
    assert "leaving_home" not in moves(subject)


def test_a_band_counts_only_where_a_switch_shows_it() -> None:
    subject = behaviour("cylinder", switches__out=None)
    assert [name for name in moves(subject) if not name.startswith("resumed_")] == [
        "home",
        "out",
        "leaving_home",
        "going_out",
        "going_back",
        "arriving_home",
    ]


def test_facts_and_switches() -> None:
    """In a band the switch is on although the piston is not there: truth and signal are two things."""
    healthy = facts(CYLINDER)
    assert {name: text for name, text in healthy.items() if not name.startswith("resumed_")} == {
        "home": "is_home | home",
        "out": "is_out | out",
        "leaving_home": "is_between is_moving | home",
        "going_out": "is_between is_moving |",
        "arriving_out": "is_between is_moving | out",
        "leaving_out": "is_between is_moving | out",
        "going_back": "is_between is_moving |",
        "arriving_home": "is_between is_moving | home",
    }
    for name, text in healthy.items():
        assert text == healthy[name.removeprefix("resumed_")]


def test_a_jam_freezes_place_and_switches() -> None:
    assert facts(CYLINDER, "jammed") == {
        "home": "is_home | home",
        "out": "is_out | out",
        "leaving_home": "is_between | home",
        "going_out": "is_between |",
        "arriving_out": "is_between | out",
        "leaving_out": "is_between | out",
        "going_back": "is_between |",
        "arriving_home": "is_between | home",
    }
    assert not any(moves(CYLINDER, "jammed").values())


def test_after_a_jam_the_motion_goes_on_from_an_unknown_place() -> None:
    assert position(CYLINDER, "going_out", "jammed").repaired_as == "resumed_going_out"
    assert position(CYLINDER, "arriving_home", "jammed").repaired_as == "resumed_arriving_home"
    assert position(CYLINDER, "out", "jammed").repaired_as is None
    assert ("jammed", "going_out") in position(CYLINDER, "resumed_going_out").fails_as


def test_a_slow_cylinder_takes_up_to_three_times_its_longer_way() -> None:
    """The longer way takes 250 ms; bands grow in the ratio of the slow to the longer way."""
    slow = moves(CYLINDER, "slow")
    assert slow["leaving_home"] == [
        "clear_home 5..120 -> going_out",
        "reach_out 120..750 -> arriving_out",
        "go_home not output -> slowed_arriving_home",
    ]
    assert slow["going_back"] == [
        "reach_home 100..750 -> arriving_home",
        "go_out output -> slowed_going_out",
    ]
    assert slow["slowed_going_out"] == [
        "reach_out 0..750 -> arriving_out",
        "go_home not output -> slowed_going_back",
    ]


def test_a_motion_under_way_when_it_becomes_slow_has_up_to_the_slow_time_left() -> None:
    assert ("slow", "slowed_going_out") in position(CYLINDER, "going_out").fails_as
    assert ("slow", "slowed_going_out") in position(CYLINDER, "resumed_going_out").fails_as
    assert position(CYLINDER, "home").fails_as == ()


def test_a_cylinder_no_longer_slow_goes_on_from_an_unknown_place() -> None:
    assert position(CYLINDER, "going_out", "slow").repaired_as == "resumed_going_out"
    assert position(CYLINDER, "slowed_going_out", "slow").repaired_as == "resumed_going_out"
    assert position(CYLINDER, "home", "slow").repaired_as is None


def test_the_slow_time_may_be_given() -> None:
    subject = behaviour("cylinder", slow=400_000, switches__band=None)
    assert moves(subject, "slow")["going_out"][0] == "reach_out 120..400 -> out"


def test_slow_is_not_faster_than_sound() -> None:
    with pytest.raises(SequenceFileError) as caught:
        behaviour("cylinder", slow=249_999)
    (problem,) = caught.value.problems
    assert (problem.place, problem.expected, problem.found) == (PLACE, "at least 250 ms", "249.999 ms")


def test_with_a_stuck_valve_a_motion_ends_and_none_begins() -> None:
    assert moves(PLAIN, "valve_sticks") == {
        "home": [],
        "out": [],
        "going_out": ["reach_out 120..250 -> out"],
        "going_back": ["reach_home 100..220 -> home"],
        "resumed_going_out": ["reach_out 0..250 -> out"],
        "resumed_going_back": ["reach_home 0..220 -> home"],
    }


def test_two_solenoids_keep_the_last_way() -> None:
    subject = behaviour("cylinder", opposite="clamp_open_now", switches__band=None)
    assert moves(subject)["home"] == ["go_out output not opposite -> going_out"]
    assert moves(subject)["going_out"] == [
        "reach_out 120..250 -> out",
        "go_home not output opposite -> resumed_going_back",
    ]
    assert [drive.role for drive in subject.drives] == ["output", "opposite"]


def test_energy_is_needed_beside_the_output() -> None:
    (drive,) = behaviour("cylinder", energy="air").drives
    assert drive.condition == And(PLACE, (Name(PLACE, "clamp_close"), Name(PLACE, "air.is_on")))
    assert CYLINDER.drives[0].condition == Name(PLACE, "clamp_close")


def test_failures() -> None:
    assert failures(CYLINDER) == {
        "jams": "jammed",
        "slow": "slow",
        "valve_sticks": "valve_sticks",
        "out_signal_stuck_on": "stuck_on | out",
        "out_signal_stuck_off": "stuck_off | out",
        "home_signal_stuck_on": "stuck_on | home",
        "home_signal_stuck_off": "stuck_off | home",
    }


def test_a_motion_takes_time() -> None:
    with pytest.raises(SequenceFileError, match="expected a latest time above zero, found 0 ms"):
        behaviour("cylinder", out=TimeRange(0, 0))


def test_a_missing_required_value_is_a_file_error() -> None:
    with pytest.raises(SequenceFileError, match="expected a field 'output' of part, found none"):
        behaviour("cylinder", output=None)
