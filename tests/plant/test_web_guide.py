"""The web guide: guiding, held, centred; running off without its edge, drifting, not holding."""

from __future__ import annotations

import pytest
from plant_examples import behaviour, facts, failures, moves, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.field import FieldValue

GUIDE = behaviour("web_guide")
PLAIN = behaviour("web_guide", centre=None, centred=None)


def test_hold_is_stronger_than_centre_and_what_is_let_go_settles_first() -> None:
    """75 mm at 19 mm/s take 3947 ms."""
    assert moves(GUIDE) == {
        "guiding": ["go_held hold -> held", "go_centring not hold centre -> centring"],
        "recovering": [
            "settle 800..2000 -> guiding",
            "go_held hold -> held",
            "go_centring not hold centre -> centring",
        ],
        "held": [
            "go_centring not hold centre -> centring",
            "go_recovering not hold not centre -> recovering",
        ],
        "centring": [
            "reach_centre 0..3947.37 -> centred",
            "go_held hold -> held",
            "go_recovering not hold not centre -> recovering",
        ],
        "centred": [
            "go_held_centred hold -> held_centred",
            "go_recovering not hold not centre -> recovering",
        ],
        "held_centred": [
            "go_centred not hold centre -> centred",
            "go_recovering not hold not centre -> recovering",
        ],
    }


def test_in_its_centre_it_stands_and_is_held() -> None:
    assert facts(GUIDE) == {
        "guiding": "is_guiding | edge",
        "recovering": "is_recovering | edge",
        "held": "is_held | edge",
        "centring": "is_centring | edge",
        "centred": "is_centred is_held | centred edge",
        "held_centred": "is_centred is_held | centred edge",
    }


def test_one_that_cannot_be_centred_is_only_held() -> None:
    assert moves(PLAIN) == {
        "guiding": ["go_held hold -> held"],
        "recovering": ["settle 800..2000 -> guiding", "go_held hold -> held"],
        "held": ["go_recovering not hold -> recovering"],
    }


def test_without_its_edge_it_runs_to_the_end_of_its_travel_unless_held() -> None:
    assert moves(PLAIN, "sensor_lost")["sensor_lost_guiding"] == [
        "run_off 0..7894.74 -> sensor_lost_at_limit",
        "go_held hold -> sensor_lost_held",
    ]
    shown = facts(PLAIN, "sensor_lost")
    assert (shown["sensor_lost_at_limit"], shown["sensor_lost_guiding"]) == ("is_at_limit | limit", "|")
    assert position(PLAIN, "sensor_lost_at_limit", "sensor_lost").repaired_as == "recovering"


def test_a_drifted_sensor_guides_to_a_wrong_place_and_no_signal_tells() -> None:
    shown = facts(PLAIN, "sensor_drifts")
    assert shown["sensor_drifts_guiding"] == shown["sensor_drifts_held"] == "| edge"
    assert position(PLAIN, "guiding").fails_as[0] == ("sensor_drifts", "sensor_drifts_guiding")


def test_a_hold_fails_only_while_something_is_held() -> None:
    assert dict(position(GUIDE, "held").fails_as)["hold_fails"] == "hold_fails_held"
    assert "hold_fails" not in dict(position(GUIDE, "guiding").fails_as)
    assert facts(GUIDE, "hold_fails")["hold_fails_held"] == "| edge"


def test_failures() -> None:
    assert list(failures(PLAIN))[:4] == ["jams", "sensor_lost", "sensor_drifts", "hold_fails"]


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"weave": 80.0}, "expected a travel not below the weave of 80 mm, found 75 mm"),
        ({"rate": 0.0}, "expected a travel and a rate above zero, found 0"),
        ({"centre": None}, "expected an output that centres, as there is a signal for it, found none"),
    ],
)
def test_what_does_not_fit_is_a_file_error(changes: dict[str, FieldValue | None], found: str) -> None:
    with pytest.raises(SequenceFileError, match=found):
        behaviour("web_guide", **changes)  # type: ignore[arg-type]
