"""A drive that jogs: reduced speed from standstill only, and faster than that only by a failure."""

import pytest
from plant_examples import behaviour, ms

from seqcheck.errors import SequenceFileError
from seqcheck.plant.behaviour import Position

SUBJECT = behaviour("drive", jog="unwind_jog", jog___stop=ms(50, 200))


def at(name: str, mode: str = "") -> Position:
    return next(part for part in SUBJECT.positions if (part.mode, part.name) == (mode, name))


def test_it_jogs_from_standstill_and_stops_within_its_own_time() -> None:
    assert [move.to for move in at("stopped").moves] == ["starting", "creeping"]
    assert [move.to for move in at("creeping").moves] == ["jog_stopping", "resumed_starting"]
    assert at("jog_stopping").moves[0].after == ms(50, 200)
    assert at("creeping").facts == {"is_moving", "is_at_reduced_speed"}
    assert all(move.to != "creeping" for move in at("at_speed").moves)


def test_a_drive_that_exceeds_its_reduced_speed_moves_without_that_fact() -> None:
    assert at("creeping", "exceeds_reduced_speed").facts == {"is_moving"}
    assert at("stopped", "exceeds_reduced_speed").facts == {"is_stopped"}


def test_one_that_does_not_stop_creeps_on_and_one_that_does_not_start_does_not_jog() -> None:
    assert [move.to for move in at("jog_stopping", "does_not_stop").moves] == ["creeping", "resumed_starting"]
    assert at("stopped", "does_not_start").moves == ()


def test_without_its_brake_it_takes_as_long_as_it_coasts() -> None:
    coast = at("jog_stopping", "coasts").moves[0].after
    assert coast is not None
    assert coast.latest_us == 4 * 1_100_000


def test_a_time_to_stop_jogging_needs_an_output() -> None:
    with pytest.raises(SequenceFileError):
        behaviour("drive", jog___stop=ms(50, 200))
