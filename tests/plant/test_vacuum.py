"""The vacuum: built, held, decaying; not built, or lost."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, ms, position

VACUUM = behaviour("vacuum")


def test_healthy_moves() -> None:
    assert moves(VACUUM) == {
        "released": ["go_held output -> building"],
        "held": ["go_released not output -> decaying"],
        "building": ["reach_held 200..500 -> held", "go_released not output -> resumed_decaying"],
        "decaying": ["reach_released 50..150 -> released", "go_held output -> resumed_building"],
        "resumed_building": ["reach_held 0..500 -> held", "go_released not output -> resumed_decaying"],
        "resumed_decaying": ["reach_released 0..150 -> released", "go_held output -> resumed_building"],
    }


def test_facts() -> None:
    """While it is built or decays the vacuum neither holds nor is it gone."""
    assert facts(VACUUM) == {
        "released": "is_released |",
        "held": "is_held | made",
        "building": "|",
        "decaying": "|",
        "resumed_building": "|",
        "resumed_decaying": "|",
    }


def test_not_built_it_never_holds() -> None:
    assert moves(VACUUM, "not_built") == {
        "released": [],
        "held": ["go_released not output -> decaying"],
        "building": ["go_released not output -> resumed_decaying"],
        "decaying": ["reach_released 50..150 -> released"],
        "resumed_decaying": ["reach_released 0..150 -> released"],
    }


def test_only_a_held_vacuum_is_lost_at_once_and_decays_in_any_time() -> None:
    lost = [(name, mode) for p in VACUUM.positions for mode, name in p.fails_as if mode == "lost"]
    assert lost == [("losing", "lost")]
    assert position(VACUUM, "held").fails_as == (("lost", "losing"),)
    assert moves(VACUUM, "lost") == {"losing": ["decay 0..150 -> gone"], "gone": []}
    assert facts(VACUUM, "lost") == {"losing": "|", "gone": "is_released |"}
    assert position(VACUUM, "losing", "lost").repaired_as == "resumed_decaying"
    assert position(VACUUM, "gone", "lost").repaired_as == "released"


def test_a_vacuum_that_decays_at_once_has_nothing_to_resume() -> None:
    subject = behaviour("vacuum", decay=ms(0, 0))
    assert position(subject, "losing", "lost").repaired_as == "released"


def test_failures() -> None:
    assert list(failures(VACUUM)) == ["not_built", "lost", "made_signal_stuck_on", "made_signal_stuck_off"]
