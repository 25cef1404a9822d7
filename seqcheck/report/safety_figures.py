"""The safety calculations: each safety function of the file with its figures, each figure with its source."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Judgement(Enum):
    """Whether a figure meets what the file asks for."""

    MEETS = "meets"
    FAILS = "does not meet"
    STATED = "stated"
    """Nothing is asked of it."""
    OPEN = "cannot be said"
    """Something that it needs is missing or was not proven."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure. `value` and `asked` are text with units ("" if there is none).

    `working` are the lines of the calculation. `source` is a standard with its clause, with "from memory" where the clause was not
    read; `caveat` what is simplified.
    """

    quantity: str
    value: str
    asked: str
    judgement: Judgement
    working: tuple[str, ...]
    source: str
    caveat: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyFunctionFigures:
    """One safety function: its name, its sentence, the device that triggers it, the requirements that its times are taken from."""

    name: str
    text: str
    device: str
    requirements: tuple[str, ...]
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class SafetyFigures:
    """All safety functions of the file (none where it declares none), and `notes` on what is simplified."""

    functions: tuple[SafetyFunctionFigures, ...]
    notes: tuple[str, ...]
