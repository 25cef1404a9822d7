"""Emergency stop, pushbutton, selector and light curtain: two positions and somebody's acts."""

from __future__ import annotations

import pytest
from plant_examples import behaviour, facts, failures, moves, position

EXPECTED_MOVES = {
    "emergency_stop": {"released": ["presses (act) -> pressed"], "pressed": ["pulls (act) -> released"]},
    "pushbutton": {"released": ["presses (act) -> pressed"], "pressed": ["releases (act) -> released"]},
    "selector": {"off": ["turns_on (act) -> on"], "on": ["turns_off (act) -> off"]},
    "light_curtain": {"clear": ["enters (act) -> interrupted"], "interrupted": ["leaves (act) -> clear"]},
}

EXPECTED_FACTS = {
    "emergency_stop": {"released": "| healthy", "pressed": "is_pressed |"},
    "pushbutton": {"released": "|", "pressed": "is_pressed | pressed"},
    "selector": {"off": "|", "on": "is_on | on"},
    "light_curtain": {"clear": "| clear", "interrupted": "is_interrupted |"},
}


@pytest.mark.parametrize("type_name", sorted(EXPECTED_MOVES))
def test_two_positions_and_two_acts(type_name: str) -> None:
    subject = behaviour(type_name)
    assert moves(subject) == EXPECTED_MOVES[type_name]
    assert facts(subject) == EXPECTED_FACTS[type_name]


@pytest.mark.parametrize("type_name", sorted(EXPECTED_MOVES))
def test_it_begins_in_its_first_position_and_only_its_contact_fails(type_name: str) -> None:
    subject = behaviour(type_name)
    assert subject.initial == next(iter(EXPECTED_MOVES[type_name]))
    assert {text.split(" | ")[0] for text in failures(subject).values()} == {"stuck_on", "stuck_off"}


def test_a_selector_may_be_found_on() -> None:
    assert behaviour("selector", initially="on").initial == "on"


def test_acts_are_seen() -> None:
    """They are an operator's, whom a requirement may bid to do nothing."""
    assert not position(behaviour("light_curtain"), "clear").moves[0].unobserved
