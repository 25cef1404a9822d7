"""The roll: plenty, low, empty; when it runs out is left open."""

import pytest
from plant_examples import behaviour, moves

from seqcheck.errors import SequenceFileError


def test_it_runs_low_and_out_only_while_the_unwind_runs_and_can_be_replaced() -> None:
    subject = behaviour("roll")
    assert moves(subject) == {
        "plenty": ["runs_low unwinding (act) -> low"],
        "low": ["runs_out unwinding (act) -> empty", "replaced (act) -> plenty"],
        "empty": ["replaced (act) -> plenty"],
    }


def test_a_low_signal_needs_the_remaining_time() -> None:
    with pytest.raises(SequenceFileError, match="a field 'remaining' of part"):
        behaviour("roll", remaining=None)
