"""Which of two conditions asks for more, decided over every combination of the names in them."""

from __future__ import annotations

from enum import Enum

from seqcheck.language.expression import Expression
from seqcheck.reader.truth_table import TruthTable


class Strength(Enum):
    """How a new condition stands to the old one."""

    SAME = "the same"
    STRONGER = "true in fewer situations"
    WEAKER = "true in more situations"
    OTHER = "neither implies the other"
    NOT_DECIDED = "too many names to decide which is stronger"


def strength(old: Expression, new: Expression) -> Strength:
    """How `new` stands to `old`: stronger means that it implies the old one and not the reverse."""
    if old == new:
        return Strength.SAME
    table = TruthTable(old, new)
    if not table.is_decided:
        return Strength.NOT_DECIDED
    to_old, to_new = table.implies(new, old), table.implies(old, new)
    if to_old and to_new:
        return Strength.SAME
    if to_old:
        return Strength.STRONGER
    return Strength.WEAKER if to_new else Strength.OTHER
