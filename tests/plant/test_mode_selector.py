"""A keyed mode selector: one contact a position, none in between."""

import pytest
from plant_examples import behaviour, ms, signal

from seqcheck.errors import SequenceFileError
from seqcheck.language.field import FreeState


def test_it_is_turned_from_any_position_to_any_other() -> None:
    subject = behaviour("mode_selector", between=None)
    assert {part.name: [move.to for move in part.moves] for part in subject.positions} == {
        "automatic": ["jog", "setting"],
        "jog": ["automatic", "setting"],
        "setting": ["automatic", "jog"],
    }
    assert [part.signals for part in subject.positions] == [{"automatic"}, {"jog"}, {"setting"}]


def test_in_between_no_contact_is_made() -> None:
    subject = behaviour("mode_selector", between=ms(20, 300))
    under_way = [part for part in subject.positions if "is_turning" in part.facts]
    assert [(part.signals, part.moves[0].to, part.moves[0].after) for part in under_way] == [
        (frozenset(), "automatic", ms(20, 300)),
        (frozenset(), "jog", ms(20, 300)),
        (frozenset(), "setting", ms(20, 300)),
    ]


def test_it_is_found_in_its_first_position_or_as_told() -> None:
    assert behaviour("mode_selector").initial == "automatic"
    assert behaviour("mode_selector", initially="jog").initial == "jog"


ONE = (FreeState(name="automatic", signals=(signal("a"),)),)
TURNING = (*ONE, FreeState(name="turning", signals=(signal("b"),)))


@pytest.mark.parametrize("wrong", [{"initially": "off"}, {"positions": ONE}, {"positions": TURNING}])
def test_positions_that_cannot_be_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(SequenceFileError):
        behaviour("mode_selector", **wrong)  # type: ignore[arg-type]
