"""Expressions made runnable: from a tree of names to a test of a view of the network."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from seqcheck.language.expression import And, Constant, Expression, Name, Not, Or, Xor


class View(Protocol):
    """What a condition can look at; a `State` is one, and so is the working copy while a firing settles."""

    @property
    def memory(self) -> Sequence[int]:
        """Controller cells."""

    @property
    def written(self) -> int:
        """Outputs as last written."""

    @property
    def plant(self) -> Sequence[int]:
        """Positions of devices and circuits."""

    @property
    def signals(self) -> int:
        """Contacts now."""

    @property
    def seen(self) -> int:
        """What a read would see."""

    @property
    def stuck_on(self) -> int:
        """Contacts stuck on."""

    @property
    def stuck_off(self) -> int:
        """Contacts stuck off."""


Test = Callable[[View], bool]
Resolve = Callable[[Expression], Test]


def compile_condition(expression: Expression, resolve: Resolve) -> Test:
    """A test that says whether `expression` holds; `resolve` gives the tests of names, timers and edges."""
    match expression:
        case Constant(value=value):
            return lambda _view: value
        case Not(operand=operand):
            test = compile_condition(operand, resolve)
            return lambda view: not test(view)
        case And(operands=operands):
            return _all_of(tuple(compile_condition(operand, resolve) for operand in operands))
        case Or(operands=operands):
            return _any_of(tuple(compile_condition(operand, resolve) for operand in operands))
        case Xor(operands=operands):
            tests = tuple(compile_condition(operand, resolve) for operand in operands)
            return lambda view: sum(test(view) for test in tests) % 2 == 1
        case _:
            return resolve(expression)


def _all_of(tests: tuple[Test, ...]) -> Test:
    if len(tests) == 2:
        first, second = tests
        return lambda view: first(view) and second(view)

    def every(view: View) -> bool:
        for test in tests:  # noqa: SIM110  a generator would cost a third more in the innermost loop
            if not test(view):
                return False
        return True

    return every


def _any_of(tests: tuple[Test, ...]) -> Test:
    if len(tests) == 2:
        first, second = tests
        return lambda view: first(view) or second(view)

    def some(view: View) -> bool:
        for test in tests:  # noqa: SIM110  as above
            if test(view):
                return True
        return False

    return some


def names_of(expression: Expression) -> tuple[str, ...]:
    """The names in an expression that has neither timers nor edges, in order of appearance."""
    match expression:
        case Name(text=text):
            return (text,)
        case Not(operand=operand):
            return names_of(operand)
        case And(operands=operands) | Or(operands=operands) | Xor(operands=operands):
            return tuple(name for operand in operands for name in names_of(operand))
        case _:
            return ()
