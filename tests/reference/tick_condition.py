"""Conditions evaluated straight from their tree, without anything of the kernel."""

from __future__ import annotations

from collections.abc import Callable

from seqcheck.language.expression import And, Constant, Expression, Name, Not, Or, Xor

Leaf = Callable[[Expression], bool]
"""The value of a name, a step time, a timer or an edge."""


def holds(expression: Expression, leaf: Leaf) -> bool:
    """Whether the condition holds, where `leaf` gives the values of what is no operator."""
    match expression:
        case Constant(value=value):
            return value
        case Not(operand=operand):
            return not holds(operand, leaf)
        case And(operands=operands):
            return all(holds(part, leaf) for part in operands)
        case Or(operands=operands):
            return any(holds(part, leaf) for part in operands)
        case Xor(operands=operands):
            return sum(holds(part, leaf) for part in operands) % 2 == 1
    return leaf(expression)


def named(value: Callable[[str], bool]) -> Leaf:
    """Leaves of conditions that have only names."""

    def leaf(expression: Expression) -> bool:
        assert isinstance(expression, Name)
        return value(expression.text)

    return leaf
