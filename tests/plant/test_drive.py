"""Web drives: ramps, broken ramps, and drives that do not stop, do not start, or coast."""

from __future__ import annotations

import pytest
from plant_examples import PLACE, behaviour, facts, failures, moves, ms, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import MachineData

DRIVE = behaviour("drive")


def test_healthy_moves_with_the_machine_data_s_ramps() -> None:
    assert moves(DRIVE) == {
        "stopped": ["go_at_speed run -> starting"],
        "at_speed": ["go_stopped not run -> slowing"],
        "starting": ["reach_at_speed 1000..1200 -> at_speed", "go_stopped not run -> resumed_slowing"],
        "slowing": ["reach_stopped 900..1100 -> stopped", "go_at_speed run -> resumed_starting"],
        "resumed_starting": ["reach_at_speed 0..1200 -> at_speed", "go_stopped not run -> resumed_slowing"],
        "resumed_slowing": ["reach_stopped 0..1100 -> stopped", "go_at_speed run -> resumed_starting"],
    }


def test_facts() -> None:
    assert facts(DRIVE) == {
        "stopped": "is_stopped | stopped",
        "at_speed": "is_at_speed is_moving | at_speed",
        "starting": "is_moving is_starting |",
        "slowing": "is_moving is_slowing |",
        "resumed_starting": "is_moving is_starting |",
        "resumed_slowing": "is_moving is_slowing |",
    }


def test_the_device_s_own_ramps_come_first() -> None:
    subject = behaviour("drive", stop=ms(500, 600))
    assert moves(subject)["slowing"][0] == "reach_stopped 500..600 -> stopped"
    assert moves(subject)["starting"][0] == "reach_at_speed 1000..1200 -> at_speed"


def test_ramps_from_nowhere_are_a_file_error() -> None:
    with pytest.raises(SequenceFileError) as caught:
        behaviour("drive", MachineData())
    (problem,) = caught.value.problems
    assert problem.place == PLACE
    assert problem.expected == "a field 'stop' of part, or machine data with it"


def test_it_is_found_at_speed_unless_the_file_says_stopped() -> None:
    assert DRIVE.initial == "at_speed"
    assert behaviour("drive", initially="stopped").initial == "stopped"


def test_a_drive_that_does_not_stop_moves_on() -> None:
    assert moves(DRIVE, "does_not_stop") == {
        "stopped": ["go_at_speed run -> starting"],
        "at_speed": [],
        "starting": ["reach_at_speed 1000..1200 -> at_speed"],
        "slowing": ["go_at_speed run -> resumed_starting"],
        "resumed_starting": ["reach_at_speed 0..1200 -> at_speed"],
    }
    assert facts(DRIVE, "does_not_stop")["slowing"] == "is_moving |"
    assert position(DRIVE, "slowing", "does_not_stop").repaired_as == "resumed_slowing"


def test_a_drive_that_does_not_start_still_stops() -> None:
    assert moves(DRIVE, "does_not_start") == {
        "stopped": [],
        "at_speed": ["go_stopped not run -> slowing"],
        "starting": ["go_stopped not run -> resumed_slowing"],
        "slowing": ["reach_stopped 900..1100 -> stopped"],
        "resumed_slowing": ["reach_stopped 0..1100 -> stopped"],
    }
    assert facts(DRIVE, "does_not_start")["starting"] == "is_moving |"


def test_without_its_brake_it_takes_up_to_four_times_as_long_to_stop() -> None:
    coasting = moves(DRIVE, "coasts")
    assert coasting["slowing"] == [
        "reach_stopped 900..4400 -> stopped",
        "go_at_speed run -> resumed_starting",
    ]
    assert coasting["resumed_slowing"][0] == "reach_stopped 0..4400 -> stopped"
    assert coasting["starting"][0] == "reach_at_speed 1000..1200 -> at_speed"


def test_a_stop_under_way_when_the_brake_fails_may_take_up_to_the_whole_coasting_time() -> None:
    assert ("coasts", "resumed_slowing") in position(DRIVE, "slowing").fails_as
    assert "coasts" not in dict(position(DRIVE, "starting").fails_as)
    assert position(DRIVE, "slowing", "coasts").repaired_as == "resumed_slowing"
    assert position(DRIVE, "starting", "coasts").repaired_as is None


def test_the_coasting_time_may_be_given_but_not_below_the_stop() -> None:
    assert moves(behaviour("drive", coast=2_000_000), "coasts")["slowing"][0].startswith(
        "reach_stopped 900..2000"
    )
    with pytest.raises(SequenceFileError, match=r"latest stop of 1\.1 s"):
        behaviour("drive", coast=1_099_999)


def test_failures() -> None:
    assert list(failures(DRIVE)) == [
        "does_not_stop",
        "does_not_start",
        "coasts",
        "stopped_signal_stuck_on",
        "stopped_signal_stuck_off",
        "at_speed_signal_stuck_on",
        "at_speed_signal_stuck_off",
    ]


def test_a_roll_stores_energy_while_it_moves() -> None:
    subject = behaviour("drive", stores="inertia")
    stored = {name for name, text in facts(subject).items() if "is_stored" in text}
    assert stored == {name for name, text in facts(subject).items() if "is_moving" in text} != set()
    assert "is_stored" not in behaviour("drive").facts
