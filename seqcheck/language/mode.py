"""A mode of operation, such as automatic, jog or setting: the condition that holds while the machine is in it."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.expression import Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """A mode by its name."""

    name: str
    place: Place
    condition: Expression
