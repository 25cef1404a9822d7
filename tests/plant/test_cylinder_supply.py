"""A cylinder on its supply: 5/3 valves, loss and return of air, fall-backs, a pin that holds it."""

from __future__ import annotations

import pytest
from plant_examples import behaviour, facts, failures, moves, ms, name, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.field import FieldValue
from seqcheck.plant.behaviour import Behaviour

NO_BAND: dict[str, FieldValue | None] = {"switches__band": None}


def _cylinder(**changes: FieldValue | None) -> Behaviour:
    return behaviour("cylinder", **{**NO_BAND, **changes})  # type: ignore[arg-type]


DROPS = _cylinder(air="air", without___air="drops home", fall=ms(300, 500))
CLOSED = _cylinder(opposite="back", valve="closed centre")
DOUBLE = _cylinder(opposite="back", air="air", without___air="holds")
DRIFTS = _cylinder(air="air", without___air="drifts")
PINNED = _cylinder(without___air="drops home", held___by=name("pin.is_out"))


def test_without_air_it_drops_within_its_fall_from_the_far_end_and_sooner_from_the_way() -> None:
    assert moves(DROPS)["out"][0] == "let_go output not air -> falling_freely_valve_out"
    assert moves(DROPS)["falling_freely_valve_out"] == [
        "fall_reach_home 300..500 -> freed_home_valve_out",
        "go_out output air -> resumed_going_out",
        "let_go not output not air -> falling_freely_valve_home",
        "go_home not output air -> resumed_going_back",
    ]
    assert moves(DROPS)["going_out"][1] == "let_go output not air -> resumed_falling_freely_valve_out"
    assert (
        moves(DROPS)["resumed_falling_freely_valve_out"][0]
        == "fall_reach_home 0..500 -> freed_home_valve_out"
    )


def test_what_would_drop_is_stored_wherever_it_can_drop_from() -> None:
    shown = facts(DROPS)
    assert shown["out"] == "is_out is_stored | out"
    assert shown["home"] == "is_home | home"
    assert shown["going_back"] == "is_between is_moving is_stored |"
    assert "is_stored" not in DOUBLE.facts


def test_a_fall_takes_as_long_as_the_way_if_the_file_gives_no_other_time() -> None:
    subject = _cylinder(air="air", without___air="drops out")
    assert moves(subject)["falling_freely_valve_home"][0] == "fall_reach_out 120..250 -> freed_out_valve_home"


def test_in_a_closed_centre_it_stands_where_it_is() -> None:
    assert moves(CLOSED)["going_out"] == [
        "reach_out 120..250 -> out",
        "go_home not output opposite -> resumed_going_back",
        "stop not output not opposite -> stands_between_valve_centre",
        "stop output opposite -> stands_between_valve_centre",
    ]
    assert moves(CLOSED)["stands_between_valve_centre"] == [
        "go_out output not opposite -> resumed_going_out",
        "go_home not output opposite -> resumed_going_back",
    ]
    assert facts(CLOSED)["stands_between_valve_centre"] == "is_between |"


def test_in_an_open_centre_it_falls_back_as_without_air() -> None:
    subject = _cylinder(opposite="back", valve="open centre", without___air="drops home")
    assert moves(subject)["out"] == [
        "go_home not output opposite -> going_back",
        "let_go not output not opposite -> falling_freely_valve_centre",
        "let_go output opposite -> falling_freely_valve_centre",
    ]


def test_a_double_solenoid_goes_on_by_itself_when_air_returns() -> None:
    """Its spool is where it was last sent; that neither coil is on changes nothing (ISO 14118: unexpected start-up)."""
    waiting = moves(DOUBLE)["stands_between_valve_out"]
    assert "go_out not output not opposite air -> resumed_going_out" in waiting
    assert "stop not output opposite not air -> stands_between_valve_home" in waiting


def test_it_drifts_at_any_time_or_never() -> None:
    assert moves(DRIFTS)["freed_between_valve_out"][:2] == [
        "drift_to_home 0..any -> freed_home_valve_out",
        "drift_to_out 0..any -> freed_out_valve_out",
    ]
    assert moves(DRIFTS)["freed_home_valve_home"][0] == "drift_to_between 0..any -> freed_between_valve_home"
    assert facts(DRIFTS)["freed_between_valve_out"] == "is_between is_moving |"


def test_held_it_stands_whatever_the_output_says() -> None:
    assert moves(PINNED)["going_out"][1:3] == [
        "stop output held -> stands_between_valve_out",
        "stop not output held -> stands_between_valve_home",
    ]


def test_a_pin_that_does_not_hold_stops_nothing() -> None:
    assert moves(PINNED, "hold_fails")["going_out"] == [
        "reach_out 120..250 -> out",
        "go_home not output -> resumed_going_back",
    ]


def test_a_burst_hose_lets_it_drop_with_the_output_on() -> None:
    assert ("leaks", "falling_freely_valve_out") in position(PINNED, "out").fails_as
    assert ("leaks", "resumed_falling_freely_valve_out") in position(PINNED, "going_out").fails_as
    assert position(PINNED, "falling_freely_valve_out", "leaks").repaired_as == "resumed_going_out"


def test_a_stuck_spool_is_not_moved_by_coils_but_air_and_pin_still_count() -> None:
    assert moves(DROPS, "valve_sticks")["out"] == ["let_go not air -> falling_freely_valve_out"]
    assert moves(DROPS, "valve_sticks")["falling_freely_valve_out"] == [
        "fall_reach_home 300..500 -> freed_home_valve_out",
        "go_out air -> resumed_going_out",
    ]


def test_jammed_it_neither_moves_nor_drops() -> None:
    assert not any(moves(DROPS, "jammed").values())
    assert facts(DROPS, "jammed")["falling_freely_valve_out"] == "is_between is_stored |"
    assert position(DROPS, "going_out", "jammed").repaired_as == "resumed_going_out"


def test_slow_ways_are_slow_and_a_fall_is_as_ever() -> None:
    assert moves(DROPS, "slow")["going_out"][0] == "reach_out 120..750 -> out"
    assert (
        moves(DROPS, "slow")["falling_freely_valve_out"][0]
        == "fall_reach_home 300..500 -> freed_home_valve_out"
    )


def test_failures_of_the_supply_are_there_where_it_is() -> None:
    assert "leaks" in failures(DROPS)
    assert "leaks" not in failures(CLOSED)
    assert "hold_fails" in failures(PINNED)
    assert "hold_fails" not in failures(DROPS)


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"valve": "closed centre"}, "expected a field 'opposite' for a closed centre valve, found none"),
        ({"opposite": "p", "valve": "single solenoid"}, "expected a valve with two solenoids"),
        ({"air": "air"}, "expected holds or drifts or drops home or drops out, found none"),
        (
            {"opposite": "p", "valve": "open centre"},
            "expected holds or drifts or drops home or drops out, found none",
        ),
        ({"without___air": "holds", "fall": ms(1, 2)}, "expected no fall of a piston that does not drop"),
    ],
)
def test_what_does_not_fit_is_a_file_error(changes: dict[str, FieldValue], found: str) -> None:
    with pytest.raises(SequenceFileError, match=found):
        behaviour("cylinder", **changes)  # type: ignore[arg-type]
