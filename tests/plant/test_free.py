"""A free-form device: states of the file as positions, failures as modes of their own."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plant_examples import behaviour, facts, failures, moves, ms, name, position, signal

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import to_text
from seqcheck.language.field import FreeMove, FreeState, Signal

FREE = behaviour("free")


def _state(state: str, *ways: FreeMove, initial: bool = False) -> FreeState:
    return FreeState(name=state, moves=ways, initial=initial)


def test_healthy_states_are_those_reached_without_failure() -> None:
    assert moves(FREE) == {
        "parked": ["parked_1_to_turning move_1 -> turning"],
        "turning": ["turning_1_to_parked 800..900 -> parked", "pushes_back move_2 (act) -> parked"],
    }
    assert facts(FREE) == {"parked": "is_parked | parked", "turning": "is_moving |"}
    assert (FREE.initial, FREE.facts, FREE.moving_facts) == (
        "parked",
        ("is_parked", "is_moving", "is_stuck"),
        ("is_moving",),
    )


def test_each_condition_is_a_drive() -> None:
    assert {drive.role: to_text(drive.condition) for drive in FREE.drives} == {
        "move_1": "turret_turn",
        "move_2": "hood.is_open",
    }


def test_a_failure_leads_to_copies_of_the_states_it_reaches() -> None:
    assert moves(FREE, "seizes") == {"seizes:stuck": []}
    assert moves(FREE, "drags") == {
        "drags:parked": ["parked_1_to_turning move_1 -> drags:turning"],
        "drags:turning": [
            "turning_1_to_parked 800..900 -> drags:parked",
            "pushes_back move_2 (act) -> drags:parked",
        ],
        "drags:creeping": ["creeping_1_to_parked 800..9000 -> drags:parked"],
    }
    assert facts(FREE, "drags")["drags:parked"] == "is_parked | parked"


def test_a_failure_happens_only_where_the_file_says() -> None:
    assert position(FREE, "parked").fails_as == (("seizes", "seizes:stuck"),)
    assert position(FREE, "turning").fails_as == (("drags", "drags:creeping"),)


def test_repair_leads_to_the_same_state_or_to_the_initial_one() -> None:
    assert position(FREE, "drags:turning", "drags").repaired_as == "turning"
    assert position(FREE, "drags:creeping", "drags").repaired_as == "parked"


def test_rest_is_where_time_alone_ends_nothing() -> None:
    assert position(FREE, "parked").is_rest
    assert not position(FREE, "turning").is_rest


def test_failures() -> None:
    assert failures(FREE) == {
        "seizes": "seizes",
        "drags": "drags",
        "parked_signal_stuck_on": "stuck_on | parked",
        "parked_signal_stuck_off": "stuck_off | parked",
    }


def test_a_signal_of_two_states_is_one_wire_with_the_delay_given_once() -> None:
    delayed = Signal(name="ready", delay=ms(1, 2))
    states = (
        replace(_state("one", FreeMove(to="two", act="pushes"), initial=True), signals=(signal("ready"),)),
        replace(_state("two"), signals=(delayed,)),
    )
    (wire,) = behaviour("free", states=states).wires
    assert (wire.role, wire.signal) == ("ready", delayed)


def test_two_delays_of_a_signal_are_a_file_error() -> None:
    states = (
        replace(
            _state("one", FreeMove(to="two", act="pushes"), initial=True),
            signals=(Signal(name="ready", delay=ms(1, 2)),),
        ),
        replace(_state("two"), signals=(Signal(name="ready", delay=ms(1, 3)),)),
    )
    with pytest.raises(SequenceFileError, match="expected one delay of ready, found two"):
        behaviour("free", states=states)


@pytest.mark.parametrize(
    ("states", "problem"),
    [
        ((_state("one"),), "expected exactly one initial state of part, found none"),
        (
            (_state("one", initial=True), _state("two", initial=True)),
            "expected exactly one initial state of part, found one, two",
        ),
        ((_state("one", initial=True), _state("one")), "found one twice"),
        ((_state("parked", FreeMove(to="parkd", act="x"), initial=True),), "did you mean parked"),
        (
            (_state("one", FreeMove(to="two", act="x", after=ms(1, 2)), initial=True), _state("two")),
            "at most one of after, act and failure, found more in the way from one to two",
        ),
        (
            (_state("one", FreeMove(to="one", act="x"), initial=True),),
            "expected a way to another state, found the way from one to one",
        ),
        (
            (_state("one", FreeMove(to="two", when=name("a"), failure="x"), initial=True), _state("two")),
            "expected a failure at any time, found a condition in the way from one to two",
        ),
        ((_state("one", initial=True), _state("two")), "found two without a way in"),
    ],
)
def test_states_that_make_no_sense_are_a_file_error(states: tuple[FreeState, ...], problem: str) -> None:
    with pytest.raises(SequenceFileError, match=problem):
        behaviour("free", states=states)


def test_a_loop_that_takes_no_time_is_a_file_error() -> None:
    on = name("lamp")
    states = (
        _state("one", FreeMove(to="two", when=on), initial=True),
        _state("two", FreeMove(to="three", when=on, after=ms(0, 0))),
        _state("three", FreeMove(to="one"), FreeMove(to="four", act="pushes")),
        _state("four", FreeMove(to="one")),
    )
    with pytest.raises(SequenceFileError, match="found a loop through one, two, three"):
        behaviour("free", states=states)


def test_a_loop_with_time_or_an_act_or_two_conditions_is_fine() -> None:
    states = (
        _state("one", FreeMove(to="two", when=name("lamp")), initial=True),
        _state("two", FreeMove(to="one", when=name("bell")), FreeMove(to="three")),
        _state("three", FreeMove(to="one", after=ms(0, 1)), FreeMove(to="two", act="pushes")),
    )
    assert set(moves(behaviour("free", states=states))) == {"one", "two", "three"}
