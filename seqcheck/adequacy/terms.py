"""The terms of a condition: each dropped, each negated, one at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.language.expression import (
    And,
    Constant,
    EdgeCall,
    Expression,
    Not,
    Or,
    StepTime,
    TimerCall,
    Xor,
    walk,
)

Joined = And | Or | Xor


@dataclass(frozen=True, slots=True)
class TermChange:
    """A condition without `term`, or with its opposite. `is_alternative`: the term stood in an OR."""

    term: Expression
    is_dropped: bool
    is_alternative: bool
    condition: Expression


def term_changes(condition: Expression) -> Iterator[TermChange]:
    """Every term dropped and negated; a condition of one term without it always holds."""
    if not isinstance(condition, Joined):
        yield TermChange(condition, True, False, _nothing(condition, value=True))
    yield from _changes(condition, is_alternative=False)


def _changes(condition: Expression, *, is_alternative: bool) -> Iterator[TermChange]:
    match condition:
        case And() | Or() | Xor():
            inside = isinstance(condition, Or) or is_alternative
            for number, operand in enumerate(condition.operands):
                yield TermChange(operand, True, inside, _without(condition, number))
                for change in _changes(operand, is_alternative=inside):
                    changed = _with(condition, number, change.condition)
                    yield TermChange(change.term, change.is_dropped, change.is_alternative, changed)
        case Not(place, operand) if isinstance(operand, Joined):
            for change in _changes(operand, is_alternative=is_alternative):
                yield TermChange(change.term, change.is_dropped, change.is_alternative, Not(place, change.condition))
        case Not(_, operand):
            yield TermChange(condition, False, is_alternative, operand)
        case _:
            yield TermChange(condition, False, is_alternative, Not(condition.place, condition))


def _with(condition: Joined, number: int, operand: Expression) -> Expression:
    operands = (*condition.operands[:number], operand, *condition.operands[number + 1 :])
    return type(condition)(condition.place, operands)


def _without(condition: Joined, number: int) -> Expression:
    """Without one operand. A timer goes on running where nobody looks at it, so that the controller's memory stays the same."""
    operand = condition.operands[number]
    if _has_memory(operand):
        return _with(condition, number, _nothing(operand, value=isinstance(condition, And)))
    left = (*condition.operands[:number], *condition.operands[number + 1 :])
    return left[0] if len(left) == 1 else type(condition)(condition.place, left)


def _has_memory(condition: Expression) -> bool:
    return any(isinstance(part, StepTime | TimerCall | EdgeCall) for part in walk(condition))


def _nothing(term: Expression, *, value: bool) -> Expression:
    """Always `value`, with the memory that `term` needs."""
    if not _has_memory(term):
        return Constant(term.place, value)
    both = (term, Not(term.place, term))
    return Or(term.place, both) if value else And(term.place, both)
