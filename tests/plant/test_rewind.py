"""The rewind: an unwind's positions with the rewind's ramps."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plant_examples import MACHINE, behaviour, failures, moves

from seqcheck.errors import SequenceFileError

REWIND = behaviour("rewind")


def test_ramps_are_the_rewind_s() -> None:
    assert moves(REWIND)["slowing"][0] == "reach_stopped 1500..1800 -> stopped"
    assert moves(REWIND)["starting"][0] == "reach_at_speed 1800..2100 -> at_speed"


def test_a_rewind_without_ramps_is_a_file_error_although_the_unwind_has_some() -> None:
    with pytest.raises(SequenceFileError, match="a field 'stop' of part"):
        behaviour("rewind", replace(MACHINE, rewind=None))


def test_positions_and_failures_are_a_drive_s() -> None:
    drive = behaviour("drive")
    assert list(moves(REWIND)) == list(moves(drive))
    assert list(failures(REWIND)) == list(failures(drive))
