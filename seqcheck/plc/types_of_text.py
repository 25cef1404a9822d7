"""Which types and variables a controller text has: names are looked up and types compared before anything runs."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Place, Problem, SequenceFileError, nearest_name
from seqcheck.plc.function_block import STANDARD_BLOCKS
from seqcheck.plc.program import Enumeration, Program, Unit
from seqcheck.plc.value import (
    Chain,
    Comparison,
    Duration,
    Enumerator,
    Negation,
    Reference,
    Truth,
    Value,
    Whole,
)

BOOL, TIME, WHOLE = "BOOL", "TIME", "INT"
WHOLE_TYPES = ("SINT", "INT", "DINT", "LINT", "USINT", "UINT", "UDINT", "ULINT")
"""Whole numbers of any size are one type here: steps are counted with them, nothing is calculated."""


def failure(place: Place, expected: str, found: str, nearest: str | None = None) -> SequenceFileError:
    """The error with this one problem."""
    return SequenceFileError([Problem(place=place, expected=expected, found=found, nearest=nearest)])


@dataclass(frozen=True, slots=True)
class Types:
    """The types of one text."""

    program: Program

    def enumeration(self, name: str) -> Enumeration | None:
        """The enumeration called `name`, or None."""
        return next((part for part in self.program.enumerations if part.name.upper() == name.upper()), None)

    def type_name(self, name: str, place: Place) -> str:
        """A declared type in its own spelling.

        Raises SequenceFileError if there is no such type.
        """
        upper = name.upper()
        if upper in (BOOL, TIME) or upper in STANDARD_BLOCKS:
            return upper
        if upper in WHOLE_TYPES:
            return WHOLE
        known = self.enumeration(name) or self.program.unit(name)
        if known is None:
            names = [BOOL, TIME, WHOLE, *STANDARD_BLOCKS]
            names += [part.name for part in self.program.enumerations]
            names += [part.name for part in self.program.units]
            raise failure(
                place, "BOOL, TIME, INT, a timer, an edge or a type of this text", repr(name), nearest_name(name, names)
            )
        return known.name

    def of_value(self, value: Value, unit: Unit) -> str:
        """The type of a value in `unit`.

        Raises SequenceFileError if a name in it is not known or types do not fit.
        """
        match value:
            case Truth():
                return BOOL
            case Whole():
                return WHOLE
            case Duration():
                return TIME
            case Enumerator():
                return self._of_enumerator(value)
            case Reference():
                return self.of_reference(value, unit)
            case Negation(operand):
                self.need(operand, BOOL, unit)
            case Chain(_, operands):
                for operand in operands:
                    self.need(operand, BOOL, unit)
            case Comparison():
                self.need(value.right, self.of_value(value.left, unit), unit)
        return BOOL

    def need(self, value: Value, type_name: str, unit: Unit) -> None:
        """Raise SequenceFileError if `value` is not of this type."""
        found = self.of_value(value, unit)
        if found != type_name:
            raise failure(value.place, f"a value of type {type_name}", f"one of type {found}")

    def of_reference(self, reference: Reference, unit: Unit) -> str:
        """The type of a variable, or of an output of a function block."""
        variable = unit.variable(reference.path[0])
        if variable is None:
            names = [part.name for part in unit.variables()]
            raise failure(
                reference.place, f"a variable of {unit.name}", repr(reference.text), nearest_name(reference.path[0], names)
            )
        type_name = self.type_name(variable.type_name, variable.place)
        for field in reference.path[1:]:
            type_name = self._of_field(type_name, field, reference)
        return type_name

    def outputs(self, type_name: str) -> dict[str, str]:
        """The outputs of a block type, with their types."""
        return self._fields(type_name, is_input=False)

    def inputs(self, type_name: str) -> dict[str, str]:
        """The inputs of a block type, with their types."""
        return self._fields(type_name, is_input=True)

    def _fields(self, type_name: str, *, is_input: bool) -> dict[str, str]:
        standard = STANDARD_BLOCKS.get(type_name)
        if standard is not None:
            return standard.inputs if is_input else standard.outputs
        unit = self.program.unit(type_name)
        if unit is None:
            return {}
        found = unit.variables("VAR_INPUT" if is_input else "VAR_OUTPUT")
        return {part.name: self.type_name(part.type_name, part.place) for part in found}

    def _of_field(self, type_name: str, field: str, reference: Reference) -> str:
        fields = self.outputs(type_name) | (self.inputs(type_name) if type_name in STANDARD_BLOCKS else {})
        found = next((kind for name, kind in fields.items() if name.upper() == field.upper()), None)
        if found is None:
            raise failure(reference.place, f"an output of {type_name}", repr(reference.text), nearest_name(field, fields))
        return found

    def _of_enumerator(self, value: Enumerator) -> str:
        known = self.enumeration(value.type_name)
        if known is None:
            names = [part.name for part in self.program.enumerations]
            found = nearest_name(value.type_name, names)
            raise failure(value.place, "an enumeration of this text", repr(value.type_name), found)
        if value.name.upper() not in (name.upper() for name in known.values):
            found = nearest_name(value.name, known.values)
            raise failure(value.place, f"a value of {known.name}", repr(value.name), found)
        return known.name
