"""Decides whether conditions can hold together, whether one implies another, whether one is constant.

Each name, step time, timer and edge is a free Boolean, but for what its meaning fixes: one step a chart is
active, a step time is one number, `RISING(a)` and `TON(a, ..)` need a, `FALLING(a)` and an expired
`TOF(a, ..)` need NOT a. The machine may exclude more; so 'can hold together' is a question, 'can never hold'
is a fact.

A column of the table is one whole number with a bit a row, so an operator on all rows is one operation.
"""

from __future__ import annotations

from functools import reduce
from itertools import combinations
from operator import and_, or_, xor

from seqcheck.language.expression import (
    And,
    Constant,
    EdgeCall,
    Expression,
    Name,
    Not,
    Or,
    StepTime,
    TimerCall,
    Xor,
    walk,
)
from seqcheck.reader.limits import MOST_NAMES_DECIDED

_ATOMS = (Name, StepTime, TimerCall, EdgeCall)


class TruthTable:
    """The table over all names in some conditions; built once, then only read.

    `is_decided` False: there are too many names, and every question is answered with False.
    """

    def __init__(self, *conditions: Expression) -> None:
        """Build the columns and find the rows that are possible at all."""
        parts = [part for condition in conditions for part in walk(condition)]
        atoms = list(dict.fromkeys(part for part in parts if isinstance(part, _ATOMS)))
        self.is_decided = len(atoms) <= MOST_NAMES_DECIDED
        count = len(atoms) if self.is_decided else 0
        self._every = (1 << (1 << count)) - 1
        self._columns: dict[Expression, int] = {
            atom: _column(index, count) for index, atom in enumerate(atoms[:count])
        }
        self._possible = self._possible_rows() if self.is_decided else 0

    def can_hold(self, *conditions: Expression) -> bool:
        """Whether all conditions are true in one possible row."""
        return self.is_decided and self._rows(*conditions) != 0

    def never_holds(self, condition: Expression) -> bool:
        """Whether the condition is false in every possible row."""
        return self.is_decided and self._rows(condition) == 0

    def always_holds(self, condition: Expression) -> bool:
        """Whether the condition is true in every possible row."""
        return self.is_decided and self._rows(condition) == self._possible

    def implies(self, condition: Expression, other: Expression) -> bool:
        """Whether `other` is true in every possible row in which `condition` is."""
        return self.is_decided and self._rows(condition) == self._rows(condition, other)

    def _rows(self, *conditions: Expression) -> int:
        return reduce(and_, (self._value(condition) for condition in conditions), self._possible)

    def _value(self, expression: Expression) -> int:
        match expression:
            case Constant(_, value):
                return self._every if value else 0
            case Not(_, operand):
                return self._every ^ self._value(operand)
            case And(_, operands):
                return reduce(and_, map(self._value, operands))
            case Or(_, operands):
                return reduce(or_, map(self._value, operands))
            case Xor(_, operands):
                return reduce(xor, map(self._value, operands))
            case Name() | StepTime() | TimerCall() | EdgeCall():
                return self._columns[expression]

    def _possible_rows(self) -> int:
        calls = [
            self._possible_call(atom) for atom in self._columns if isinstance(atom, (TimerCall, EdgeCall))
        ]
        pairs = [self._possible_pair(first, second) for first, second in combinations(self._columns, 2)]
        return reduce(and_, (*calls, *pairs), self._every)

    def _possible_call(self, call: TimerCall | EdgeCall) -> int:
        output, operand = self._columns[call], self._value(call.operand)
        match call.kind:
            case "RISING" | "TON":
                return (self._every ^ output) | operand
            case "FALLING":
                return self._every ^ (output & operand)
            case "TOF":
                return output | (self._every ^ operand)
            case _:
                return self._every

    def _possible_pair(self, first: Expression, second: Expression) -> int:
        one, other = self._columns[first], self._columns[second]
        match (first, second):
            case (Name(_, text), Name(_, other_text)) if _exclude_each_other(text, other_text):
                return self._every ^ (one & other)
            case (StepTime(), StepTime()) if first.step == second.step:
                return self._possible_times(first, second)
            case _:
                return self._every

    def _possible_times(self, first: StepTime, second: StepTime) -> int:
        possible = 0
        for is_first in (True, False):
            for is_second in (True, False):
                if _have_common_time(first, is_first, second, is_second):
                    one = self._columns[first] if is_first else self._every ^ self._columns[first]
                    other = self._columns[second] if is_second else self._every ^ self._columns[second]
                    possible |= one & other
        return possible


def _column(index: int, count: int) -> int:
    """Return the column of variable `index`: bit r is bit `index` of r."""
    half = 1 << index
    column = ((1 << half) - 1) << half
    for doubling in range(index + 1, count):
        column |= column << (1 << doubling)
    return column


def _exclude_each_other(text: str, other: str) -> bool:
    """Whether these are flags of two steps of one chart, of which one is active."""
    first, second = text.split("."), other.split(".")
    is_flags = len(first) == len(second) == 3 and first[2] == second[2] == "X"
    return is_flags and first[0] == second[0]


def _have_common_time(first: StepTime, is_first: bool, second: StepTime, is_second: bool) -> bool:
    least, most = zip(_bounds(first, is_first), _bounds(second, is_second), strict=True)
    return max(least) <= min(most)


def _bounds(time: StepTime, holds: bool) -> tuple[float, float]:
    """Return the times in microseconds at which the comparison holds, or does not; then its tie is open."""
    if time.at_least:
        return (time.limit_us, float("inf")) if holds else (0, time.limit_us - 1)
    return (0, time.limit_us) if holds else (time.limit_us + 1, float("inf"))
