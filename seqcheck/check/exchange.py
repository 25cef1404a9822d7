"""Two copies exchanged: the names of one for those of the other, in anything a sequence says.

What comes back is plain data to compare, in which the order of what has no order (devices, alarms, the parts of AND and OR) does
not count, nor do texts for people and places.
"""

from __future__ import annotations

import re
from collections.abc import Hashable
from dataclasses import dataclass, fields, is_dataclass

from seqcheck.errors import Place
from seqcheck.language.copy_set import CopySet
from seqcheck.language.expression import And, Or, Xor

_NAME = re.compile(r"[A-Za-z0-9_]+")
_UNORDERED = (And, Or, Xor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Names of one copy by those of the other, both ways; `first` and `second` are copies of `parameter`."""

    parameter: str
    first: str
    second: str
    names: dict[str, str]

    def text(self, text: str) -> str:
        """A text with every name in it exchanged: `chuck_a.is_out` to `chuck_b.is_out`."""
        return _NAME.sub(lambda match: self.names.get(match[0], match[0]), text)

    def plain(self, value: object) -> Hashable:
        """A value with every name in it exchanged, as plain data."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, _UNORDERED):
            return (type(value).__name__, tuple(sorted((self.plain(part) for part in value.operands), key=repr)))
        if isinstance(value, tuple | list):
            return tuple(self.plain(part) for part in value)
        if is_dataclass(value):
            own = ((part.name, getattr(value, part.name)) for part in fields(value))
            kept = tuple((name, self.plain(part)) for name, part in own if not isinstance(part, Place))
            return (type(value).__name__, kept)
        assert value is None or isinstance(value, int | float | bool), f"{type(value)} is plain"
        return value


NOTHING = Exchange(parameter="", first="", second="", names={})
"""Nothing exchanged: what is compared with."""


def exchanges(copies: tuple[CopySet, ...]) -> tuple[Exchange, ...]:
    """Every pair of copies of the same text, whose names can be exchanged one for one."""
    found = []
    for part in copies:
        for first in range(len(part.values)):
            for second in range(first + 1, len(part.values)):
                names = _names(part, first, second)
                if names:
                    values = part.values[first], part.values[second]
                    found.append(Exchange(parameter=part.parameter, first=values[0], second=values[1], names=names))
    return tuple(found)


def _names(part: CopySet, first: int, second: int) -> dict[str, str]:
    """Each name's counterpart; none at all if a name had two."""
    names: dict[str, str] = {}
    for called in part.names:
        for name, other in ((called[first], called[second]), (called[second], called[first])):
            if names.setdefault(name, other) != other:
                return {}
    return names
