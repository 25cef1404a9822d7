"""A two-hand control: what either hand does, and what the control makes of it. Source: ISO 13851 (from memory)."""

import pytest
from plant_examples import behaviour

from seqcheck.errors import SequenceFileError
from seqcheck.plant.behaviour import Behaviour, Position


def after(subject: Behaviour, *moves: str, mode: str = "") -> Position:
    """The position after moves by name, from released."""
    places = {(part.mode, part.name): part for part in subject.positions}
    at = places[mode, "released"]
    for name in moves:
        at = places[mode, next(move.to for move in at.moves if move.name == name)]
    return at


def is_on(subject: Behaviour, *moves: str, mode: str = "") -> bool:
    at = after(subject, *moves, mode=mode)
    assert ("on" in at.signals) == ("is_on" in at.facts)
    return "is_on" in at.facts


BOTH = ("presses_left", "presses_right")


@pytest.mark.parametrize("kind", ["I", "II", "III"])
@pytest.mark.parametrize("first", ["left", "right"])
def test_both_hands_in_either_order_bring_the_output_and_letting_one_go_ends_it(kind: str, first: str) -> None:
    subject = behaviour("two_hand_control", kind=kind)
    second = {"left": "right", "right": "left"}[first]
    assert not is_on(subject, f"presses_{first}")
    assert is_on(subject, f"presses_{first}", f"presses_{second}")
    assert not is_on(subject, f"presses_{first}", f"presses_{second}", f"releases_{first}")


@pytest.mark.parametrize(("kind", "comes_on"), [("I", True), ("II", False), ("III", False)])
def test_one_hand_let_go_and_pressed_again_is_enough_for_type_1_only(kind: str, comes_on: bool) -> None:
    subject = behaviour("two_hand_control", kind=kind)
    again = (*BOTH, "releases_left", "presses_left")
    assert is_on(subject, *again) is comes_on
    if not comes_on:
        assert is_on(subject, *again, "releases_left", "releases_right", *BOTH)


def test_a_second_hand_after_half_a_second_is_too_late_for_type_3_only() -> None:
    third, second = (behaviour("two_hand_control", kind=kind) for kind in ("III", "II"))
    late = [move for move in after(third, "presses_left").moves if move.after is not None]
    assert [(move.after.earliest_us, move.after.latest_us) for move in late if move.after] == [(500_000, 500_000)]
    assert not is_on(third, "presses_left", late[0].name, "presses_right")
    assert all(move.after is None for part in second.positions for move in part.moves)


def test_the_facts_are_where_the_hands_are() -> None:
    subject = behaviour("two_hand_control")
    assert after(subject).facts == {"is_released"}
    assert after(subject, "presses_left").facts == {"is_left_held"}
    assert after(subject, *BOTH, "releases_left").facts == {"is_right_held"}
    assert after(subject, *BOTH, "releases_left", "presses_left").facts == {"is_left_held", "is_right_held"}


def test_without_its_checks_it_is_one_of_a_lower_type() -> None:
    subject = behaviour("two_hand_control")
    again = (*BOTH, "releases_left", "presses_left")
    assert is_on(subject, *again, mode="release_not_checked")
    unsynchronised = [part for part in subject.positions if part.mode == "synchrony_not_checked"]
    assert all(move.after is None for part in unsynchronised for move in part.moves)


@pytest.mark.parametrize(("kind", "synchrony_us"), [("I", 400_000), ("II", 400_000), ("III", 600_000)])
def test_a_synchrony_time_that_the_type_does_not_have_is_refused(kind: str, synchrony_us: int) -> None:
    with pytest.raises(SequenceFileError):
        behaviour("two_hand_control", kind=kind, synchrony=synchrony_us)
