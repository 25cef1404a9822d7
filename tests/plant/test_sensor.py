"""The position or mark sensor."""

from __future__ import annotations

from plant_examples import behaviour, facts, failures, moves, ms

from seqcheck.language.expression import to_text

SENSOR = behaviour("sensor")


def test_with_times_a_change_is_due_first_and_may_be_undone() -> None:
    assert moves(SENSOR) == {
        "unseen": ["appears while -> appearing"],
        "appearing": ["appears_late 10..20 -> seen", "appears_not not while -> unseen"],
        "seen": ["leaves not while -> leaving"],
        "leaving": ["leaves_late 5..15 -> unseen", "leaves_not while -> seen"],
    }


def test_it_is_seen_until_it_has_left() -> None:
    assert facts(SENSOR) == {
        "unseen": "|",
        "appearing": "|",
        "seen": "is_seen | seen",
        "leaving": "is_seen | seen",
    }


def test_without_times_it_follows_at_once() -> None:
    for subject in (
        behaviour("sensor", appears=None, leaves=None),
        behaviour("sensor", appears=ms(0, 0), leaves=ms(0, 0)),
    ):
        assert moves(subject) == {"unseen": ["appears while -> seen"], "seen": ["leaves not while -> unseen"]}


def test_its_drive_is_the_condition() -> None:
    assert [(drive.role, to_text(drive.condition)) for drive in SENSOR.drives] == [("while", "clamp.is_out")]


def test_failures() -> None:
    assert list(failures(SENSOR)) == ["seen_signal_stuck_on", "seen_signal_stuck_off"]
