"""Conditions where not everything is known: the values that an expression may have."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

from seqcheck.language.expression import And, Constant, Expression, Name, Not, Or, Xor

Values = frozenset[bool]
ANY: Values = frozenset({False, True})
_ONE = {False: frozenset({False}), True: frozenset({True})}


def only(value: bool) -> Values:
    """The set with this one value."""
    return _ONE[value]


def possible_values(expression: Expression, of_name: Callable[[str], Values]) -> Values:
    """The values that `expression` may have if each name may have those that `of_name` gives, independently of one another."""
    match expression:
        case Constant(value=value):
            return only(value)
        case Name(text=text):
            return of_name(text)
        case Not(operand=operand):
            return frozenset(not value for value in possible_values(operand, of_name))
        case And(operands=operands):
            return _joined(operands, of_name, all)
        case Or(operands=operands):
            return _joined(operands, of_name, any)
        case Xor(operands=operands):
            return _joined(operands, of_name, lambda values: sum(values) % 2 == 1)
        case _:
            return ANY


def _joined(
    operands: tuple[Expression, ...], of_name: Callable[[str], Values], join: Callable[[tuple[bool, ...]], bool]
) -> Values:
    parts = [possible_values(operand, of_name) for operand in operands]
    unknown = sum(part == ANY for part in parts)
    if unknown > 1:  # two unknown ones tell no more than one does, but for an odd number in XOR, which stays open
        kept = [part for part in parts if part != ANY]
        parts = [*kept, ANY, ANY]
    return frozenset(join(values) for values in product(*parts))
