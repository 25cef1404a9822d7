"""What stands for a value in Structured Text: literals, variables, and operators around them.

Source: IEC 61131-3, the ST language: operands and operators. Nodes compare equal wherever they stand: places take no part in `==`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from seqcheck.errors import Place

NOWHERE = Place("", 0, 0)
"""The place of what was made, not read."""

ChainOperator = Literal["AND", "OR", "XOR"]
ComparisonSign = Literal["=", "<>", "<", "<=", ">", ">="]


@dataclass(frozen=True, slots=True)
class Truth:
    """TRUE or FALSE."""

    value: bool
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number."""

    value: int
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Duration:
    """A TIME literal, in whole microseconds."""

    us: int
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Enumerator:
    """A value of an enumeration, with the name of its type: `splice_steps#ready`."""

    type_name: str
    name: str
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Reference:
    """A variable, or a variable of a function block: `hood_closed`, `ready_late.Q`."""

    path: tuple[str, ...]
    place: Place = field(default=NOWHERE, compare=False)

    @property
    def text(self) -> str:
        """As written."""
        return ".".join(self.path)


@dataclass(frozen=True, slots=True)
class Negation:
    """NOT."""

    operand: Value
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Chain:
    """Two or more operands with one operator between them; parentheses make an operand a chain of its own."""

    operator: ChainOperator
    operands: tuple[Value, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two values compared."""

    left: Value
    sign: ComparisonSign
    right: Value
    place: Place = field(default=NOWHERE, compare=False)


Value = Truth | Whole | Duration | Enumerator | Reference | Negation | Chain | Comparison


def variable(*path: str) -> Reference:
    """The variable called so."""
    return Reference(path)


def both(*operands: Value) -> Value:
    """All of the operands, as one chain; a single one stands for itself, none is TRUE."""
    return _chain("AND", operands, Truth(True))


def either(*operands: Value) -> Value:
    """Any of the operands, as one chain; a single one stands for itself, none is FALSE."""
    return _chain("OR", operands, Truth(False))


def _chain(operator: ChainOperator, operands: tuple[Value, ...], neutral: Truth) -> Value:
    if len(operands) < 2:
        return operands[0] if operands else neutral
    return Chain(operator, operands)


def parts_of(value: Value) -> tuple[Value, ...]:
    """The operands of a value."""
    match value:
        case Negation(operand):
            return (operand,)
        case Chain(_, operands):
            return operands
        case Comparison():
            return (value.left, value.right)
        case _:
            return ()


def references_in(value: Value) -> tuple[Reference, ...]:
    """Every variable that a value looks at, from left to right."""
    if isinstance(value, Reference):
        return (value,)
    return tuple(found for part in parts_of(value) for found in references_in(part))
