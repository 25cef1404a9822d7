"""Guard locking and stop categories."""

import pytest

from seqcheck.safety.guard_locking import locking_need
from seqcheck.safety.stop_category import StopCategory, stop_category


def test_locking_is_needed_where_one_gets_there_first() -> None:
    """ISO 14119:2013 4.3 (from memory): 0.8 m at 1600 mm/s take 0.5 s."""
    assert not locking_need(0.4, 800).is_needed
    assert locking_need(0.6, 800).is_needed
    assert not locking_need(0.6, 800, opening_s=0.2).is_needed


def test_equal_times_leave_nothing() -> None:
    need = locking_need(0.5, 800)
    assert need.access_s == pytest.approx(0.5)
    assert need.is_needed


def test_negative_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        locking_need(0.5, -1)


@pytest.mark.parametrize(
    ("removed", "moves", "category"),
    [
        (False, True, StopCategory.CATEGORY_2),
        (False, False, StopCategory.CATEGORY_2),
        (True, True, StopCategory.CATEGORY_0),
        (True, False, StopCategory.CATEGORY_1),
    ],
)
def test_category_of_a_stop(removed: bool, moves: bool, category: StopCategory) -> None:
    """IEC 60204-1 9.2.2: power off at once is 0, after standstill 1, never 2."""
    assert stop_category(power_is_removed=removed, moves_without_power=moves) is category


def test_an_emergency_stop_is_of_category_0_or_1() -> None:
    """ISO 13850:2015 4.1.3."""
    assert [part.value for part in StopCategory if part.may_be_emergency_stop] == [0, 1]
