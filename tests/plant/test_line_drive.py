"""The line drive: an unwind's positions with the line's ramps."""

from __future__ import annotations

import pytest
from plant_examples import MACHINE, behaviour, failures, moves

from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import Line, MachineData

LINE = behaviour("line_drive")


def test_ramps_are_the_line_s() -> None:
    assert moves(LINE)["slowing"][0] == "reach_stopped 2000..2500 -> stopped"
    assert moves(LINE)["starting"][0] == "reach_at_speed 3000..3500 -> at_speed"


def test_a_line_without_ramps_is_a_file_error_although_the_unwind_has_some() -> None:
    machine = MachineData(line=Line(speed_m_per_s=4.0), unwind=MACHINE.unwind)
    with pytest.raises(SequenceFileError, match="a field 'stop' of part"):
        behaviour("line_drive", machine)


def test_positions_and_facts_are_a_drive_s() -> None:
    drive = behaviour("drive")
    assert list(moves(LINE)) == list(moves(drive))
    assert (LINE.facts, LINE.initial) == (drive.facts, "at_speed")


def test_it_does_not_coast() -> None:
    assert list(failures(LINE))[:2] == ["does_not_stop", "does_not_start"]
    assert "coasts" not in failures(LINE)
