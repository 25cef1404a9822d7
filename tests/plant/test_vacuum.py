"""The vacuum: built, held, decaying; not built, or lost."""

from __future__ import annotations

import pytest
from plant_examples import PLACE, behaviour, facts, failures, moves, ms, name, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import And, Name
from seqcheck.language.field import FieldValue

VACUUM = behaviour("vacuum")
LASTING = behaviour("vacuum", air="air", hold=ms(5000, 9000))


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


def test_behind_a_non_return_valve_a_vacuum_lasts_for_a_while_without_air() -> None:
    assert moves(LASTING)["held"] == [
        "go_released not output -> decaying",
        "air_lost output not air -> lasting",
    ]
    assert moves(LASTING)["lasting"] == [
        "leak 5000..9000 -> decaying",
        "air_returns output air -> held",
        "go_released not output -> decaying",
    ]
    assert facts(LASTING)["lasting"] == "is_held | made"


def test_without_air_it_is_neither_begun_nor_built_further() -> None:
    assert moves(LASTING)["released"] == ["go_held output air -> building"]
    assert moves(LASTING)["building"][-1] == "air_lost output not air -> resumed_decaying"


def test_one_that_lasts_can_be_lost_and_is_not_built_again() -> None:
    assert ("lost", "losing") in position(LASTING, "lasting").fails_as
    assert moves(LASTING, "not_built")["lasting"][0] == "leak 5000..9000 -> decaying"


def test_without_a_non_return_valve_air_is_needed_beside_the_output() -> None:
    (drive,) = behaviour("vacuum", air="air").drives
    assert drive.condition == And(PLACE, (Name(PLACE, "vacuum_on"), Name(PLACE, "air.is_on")))


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"output": None}, "expected one of the fields 'output' and 'while', found neither"),
        ({"while_": name("valve.is_open")}, "expected one of the fields 'output' and 'while', found both"),
        ({"hold": ms(1, 2)}, "expected a field 'air' of part, found none"),
    ],
)
def test_what_does_not_fit_is_a_file_error(changes: dict[str, FieldValue | None], found: str) -> None:
    with pytest.raises(SequenceFileError, match=found):
        behaviour("vacuum", **changes)  # type: ignore[arg-type]
