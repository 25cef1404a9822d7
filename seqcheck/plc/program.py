"""A text for a controller: enumerations, function blocks, and the program that calls them.

Source: IEC 61131-3, program organisation units and declaration of variables.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from seqcheck.errors import Place
from seqcheck.plc.statement import Statement
from seqcheck.plc.value import NOWHERE, Value

SectionKeyword = Literal["VAR_INPUT", "VAR_OUTPUT", "VAR_IN_OUT", "VAR"]
UnitKeyword = Literal["FUNCTION_BLOCK", "PROGRAM"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """A declared variable. `initial` None: the standard's initial value of its type. `comment` is for people."""

    name: str
    type_name: str
    initial: Value | None = None
    comment: str = field(default="", compare=False)
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Variables of one kind. `comment` is a line above them."""

    keyword: SectionKeyword
    variables: tuple[Variable, ...]
    is_constant: bool = False
    comment: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Enumeration:
    """A type of a few named values."""

    name: str
    values: tuple[str, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A function block or a program."""

    keyword: UnitKeyword
    name: str
    sections: tuple[Section, ...]
    body: tuple[Statement, ...]
    comment: str = field(default="", compare=False)
    place: Place = field(default=NOWHERE, compare=False)

    def variables(self, *keywords: SectionKeyword) -> tuple[Variable, ...]:
        """The variables of the sections with these keywords (of all, if none is given)."""
        wanted = [part for part in self.sections if not keywords or part.keyword in keywords]
        return tuple(variable for part in wanted for variable in part.variables)

    def variable(self, name: str) -> Variable | None:
        """The variable called `name`, whatever the case of its letters; None if there is none."""
        return next((part for part in self.variables() if part.name.upper() == name.upper()), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """The whole text. `header` are the lines of the comment on top."""

    header: tuple[str, ...] = field(default=(), compare=False)
    enumerations: tuple[Enumeration, ...]
    units: tuple[Unit, ...]

    def unit(self, name: str) -> Unit | None:
        """The unit called `name`, whatever the case of its letters; None if there is none."""
        return next((unit for unit in self.units if unit.name.upper() == name.upper()), None)
