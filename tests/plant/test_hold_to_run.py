"""A hold-to-run control is on while it is held, and fails by staying in."""

from plant_examples import behaviour


def test_pressed_through_it_is_off_and_only_letting_go_brings_it_back() -> None:
    places = {part.name: part for part in behaviour("hold_to_run").positions if not part.mode}
    assert [move.act for move in places["held"].moves] == ["releases", "presses_through"]
    assert (places["held"].signals, places["pressed_through"].signals) == ({"held"}, frozenset())
    assert [move.to for move in places["pressed_through"].moves] == ["released"]


def test_with_two_positions_it_is_not_pressed_through() -> None:
    subject = behaviour("hold_to_run", positions="two")
    assert subject.facts == ("is_held", "is_released")


def test_one_that_stays_in_is_on_after_the_hand_has_gone() -> None:
    stuck = {part.name: part for part in behaviour("hold_to_run").positions if part.mode == "stays_in"}
    let_go = stuck[next(move.to for move in stuck["held"].moves if move.act == "releases")]
    assert (let_go.facts, let_go.signals) == ({"is_released"}, {"held"})
