"""A load that stored energy moves: held, dropping, raised again; it slips and it hangs."""

from __future__ import annotations

from plant_examples import behaviour, facts, moves, position

LOAD = behaviour("load")
WEIGHT = behaviour("load", raised___by=None, raise_=None)


def test_its_energy_is_stored_everywhere_but_at_the_bottom() -> None:
    assert facts(LOAD) == {
        "raised": "is_raised is_stored | raised",
        "dropped": "is_dropped | dropped",
        "stopped": "is_stored |",
        "dropping": "is_moving is_stored |",
        "rising": "is_moving is_stored |",
        "resumed_dropping": "is_moving is_stored |",
        "resumed_rising": "is_moving is_stored |",
    }


def test_not_held_it_drops_and_held_again_it_stops() -> None:
    assert moves(WEIGHT) == {
        "raised": ["drop not held -> dropping"],
        "dropped": [],
        "stopped": ["drop not held -> resumed_dropping"],
        "dropping": ["reach_dropped 400..800 -> dropped", "stop held -> stopped"],
        "resumed_dropping": ["reach_dropped 0..800 -> dropped", "stop held -> stopped"],
    }


def test_what_raises_it_is_stronger_than_what_holds_it() -> None:
    assert moves(LOAD)["stopped"] == [
        "drop not raised not held -> resumed_dropping",
        "rise raised -> resumed_rising",
    ]
    assert moves(LOAD)["rising"] == [
        "reach_raised 2000..3000 -> raised",
        "drop not raised not held -> resumed_dropping",
        "stop not raised held -> stopped",
    ]


def test_slipping_it_drops_although_held() -> None:
    assert moves(LOAD, "slips")["raised"] == ["drop not raised -> dropping"]
    assert moves(LOAD, "slips")["dropping"] == [
        "reach_dropped 400..800 -> dropped",
        "rise raised -> resumed_rising",
    ]


def test_a_load_that_nothing_raises_falls_in_the_moment_it_slips() -> None:
    assert position(WEIGHT, "raised").fails_as == (("slips", "dropping"),)
    assert position(WEIGHT, "stopped").fails_as == (("slips", "resumed_dropping"),)
    assert sorted(moves(WEIGHT, "slips")) == ["dropped", "dropping", "resumed_dropping"]


def test_hanging_it_stays_and_its_energy_with_it() -> None:
    assert facts(WEIGHT, "hangs") == {
        "raised": "is_raised is_stored | raised",
        "dropped": "is_dropped | dropped",
        "stopped": "is_stored |",
        "dropping": "is_stored |",
    }
    assert position(WEIGHT, "dropping", "hangs").repaired_as == "resumed_dropping"
