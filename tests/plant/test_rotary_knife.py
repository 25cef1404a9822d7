"""The rotary knife: one turn at each rise of its output."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, position

KNIFE = behaviour("rotary_knife")
PLAIN = behaviour("rotary_knife", band=None)


def test_one_turn_a_rise() -> None:
    assert moves(PLAIN) == {
        "home": ["start output -> turning"],
        "home_waiting": ["rearm not output -> home"],
        "turning": ["reach_home 300..400 -> home_waiting"],
        "resumed_turning": ["reach_home 0..400 -> home_waiting"],
    }


def test_the_home_switch_has_a_band() -> None:
    assert moves(KNIFE)["leaving_home"] == [
        "clear_home 10..30 -> turning",
        "reach_home 300..400 -> arriving_home",
    ]
    assert moves(KNIFE)["turning"] == ["reach_home 300..400 -> arriving_home"]
    assert moves(KNIFE)["arriving_home"] == ["settle_home 10..30 -> home_waiting"]
    assert moves(KNIFE)["resumed_leaving_home"] == [
        "clear_home 0..400 -> resumed_turning",
        "reach_home 0..400 -> arriving_home",
    ]


def test_facts() -> None:
    healthy = facts(KNIFE)
    assert {name: text for name, text in healthy.items() if not name.startswith("resumed_")} == {
        "home": "is_home | home",
        "home_waiting": "is_home | home",
        "leaving_home": "is_moving | home",
        "turning": "is_moving |",
        "arriving_home": "is_moving | home",
    }


def test_a_jam_stops_it_where_it_is() -> None:
    assert facts(PLAIN, "jammed") == {
        "home": "is_home | home",
        "home_waiting": "is_home | home",
        "turning": "|",
    }
    assert moves(PLAIN, "jammed") == {"home": [], "home_waiting": [], "turning": []}
    assert position(PLAIN, "turning", "jammed").repaired_as == "resumed_turning"
    assert position(PLAIN, "resumed_turning").fails_as == (("jammed", "turning"),)


def test_overrunning_it_does_not_wait_for_its_output_to_fall() -> None:
    assert moves(PLAIN, "overrunning") == {
        "home": ["start output -> turning"],
        "turning": ["reach_home 300..400 -> home"],
        "resumed_turning": ["reach_home 0..400 -> home"],
    }
    assert position(PLAIN, "home_waiting").fails_as == (("overrunning", "home"),)


def test_failures() -> None:
    assert failures(KNIFE) == {
        "jams": "jammed",
        "overruns": "overrunning",
        "home_signal_stuck_on": "stuck_on | home",
        "home_signal_stuck_off": "stuck_off | home",
    }
