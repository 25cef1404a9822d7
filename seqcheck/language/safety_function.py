"""A safety function as a file declares it: what triggers it, which proven times it rests on, and the data of its parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from seqcheck.errors import Place
from seqcheck.language.field import FieldValue

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyEntry:
    """A named value of a safety function, with its place; members of a group are called `group.member`."""

    name: str
    value: FieldValue
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyFunction:
    """One safety function: its name and its fields, which reader/safety_functions.py declares."""

    name: str
    place: Place
    entries: tuple[SafetyEntry, ...]

    def entry(self, name: str) -> SafetyEntry | None:
        """The entry called `name`, or None when the file has none."""
        return next((entry for entry in self.entries if entry.name == name), None)

    def value(self, name: str, kind: type[Value]) -> Value | None:
        """The value of entry `name`, or None; the reader has already checked that it is of its field's kind."""
        entry = self.entry(name)
        if entry is None:
            return None
        assert isinstance(entry.value, kind), f"{self.name}.{name} is {type(entry.value)}, reader promised {kind}"
        return entry.value
