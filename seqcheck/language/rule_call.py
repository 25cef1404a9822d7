"""A rule set that a file asks for, with the value that it gives to it."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.expression import Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCall:
    """The set `name`; `word` is the value as text, `start` the same as a condition, where the set takes one."""

    name: str
    place: Place
    word: str = ""
    start: Expression | None = None
