"""The category of a stop: what becomes of the power of what is stopped."""

from __future__ import annotations

from enum import Enum


class StopCategory(Enum):
    """Stop categories. Source: IEC 60204-1:2016 9.2.2 (summary read, clause from memory)."""

    CATEGORY_0 = 0
    """Power is removed at once, whatever still moves."""
    CATEGORY_1 = 1
    """Power stays until standstill and is then removed."""
    CATEGORY_2 = 2
    """Power stays."""

    @property
    def may_be_emergency_stop(self) -> bool:
        """Only 0 and 1 may. Source: ISO 13850:2015 4.1.3 (read in a summary)."""
        return self is not StopCategory.CATEGORY_2


def stop_category(*, power_is_removed: bool, moves_without_power: bool) -> StopCategory:
    """The category of a stop of which it is known whether power goes, and whether anything can still move once it has gone.

    A stop of category 1 whose power goes before standstill in a single run is one of category 0.
    """
    if not power_is_removed:
        return StopCategory.CATEGORY_2
    return StopCategory.CATEGORY_0 if moves_without_power else StopCategory.CATEGORY_1
