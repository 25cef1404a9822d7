"""The truth table decides what two conditions have to do with each other."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seqcheck.errors import Place
from seqcheck.language.expression import And, Constant, Expression, Name, Not, Or, Xor, parse_expression
from seqcheck.reader.truth_table import TruthTable

PLACE = Place("f", 1, 1)


def condition(text: str) -> Expression:
    return parse_expression(text, PLACE)


@pytest.mark.parametrize(
    ("text", "never", "always"),
    [
        ("a", False, False),
        ("a AND NOT a", True, False),
        ("a OR NOT a", False, True),
        ("a XOR a", True, False),
        ("FALSE", True, False),
        ("TRUE", False, True),
        ("RISING(a) AND NOT a", True, False),
        ("FALLING(a) AND a", True, False),
        ("FALLING(a) AND b", False, False),
        ("TON(a, T#1s) AND NOT a", True, False),
        ("TOF(a, T#1s) OR NOT a", False, True),
        ("TP(a, T#1s) AND NOT a", False, False),
        ("c.a.X AND c.b.X", True, False),
        ("c.a.X AND d.b.X", False, False),
        ("c.a.T >= T#2s AND c.a.T <= T#1s", True, False),
        ("c.a.T >= T#1s AND c.a.T <= T#1s", False, False),
        ("c.a.T >= T#1s OR c.a.T <= T#2s", False, True),
        ("c.a.T >= T#2s AND c.b.T <= T#1s", False, False),
    ],
)
def test_what_never_and_what_always_holds(text: str, never: bool, always: bool) -> None:
    expression = condition(text)
    table = TruthTable(expression)
    assert (table.never_holds(expression), table.always_holds(expression)) == (never, always)


def test_two_conditions() -> None:
    one, other = condition("a AND b"), condition("a")
    table = TruthTable(one, other)
    assert table.can_hold(one, other)
    assert table.implies(one, other)
    assert not table.implies(other, one)


def test_sixteen_names_are_decided_and_seventeen_are_not() -> None:
    names = [f"n{number}" for number in range(17)]
    decided = condition(" AND ".join(names[:16]))
    assert TruthTable(decided).can_hold(decided)
    open_question = condition(" AND ".join(names))
    table = TruthTable(open_question)
    assert not table.is_decided
    assert not table.can_hold(open_question)
    assert not table.never_holds(open_question)


NAMES = ("a", "b", "c")
EXPRESSIONS = st.recursive(
    st.one_of(
        st.sampled_from(NAMES).map(lambda text: Name(PLACE, text)),
        st.booleans().map(lambda value: Constant(PLACE, value)),
    ),
    lambda inner: st.one_of(
        inner.map(lambda operand: Not(PLACE, operand)),
        st.tuples(inner, inner).map(lambda operands: And(PLACE, operands)),
        st.tuples(inner, inner).map(lambda operands: Or(PLACE, operands)),
        st.tuples(inner, inner).map(lambda operands: Xor(PLACE, operands)),
    ),
    max_leaves=8,
)


def value_of(expression: Expression, values: dict[str, bool]) -> bool:
    """Evaluate for one row, the slow and plain way."""
    match expression:
        case Constant(_, value):
            return value
        case Name(_, text):
            return values[text]
        case Not(_, operand):
            return not value_of(operand, values)
        case And(_, operands):
            return all(value_of(operand, values) for operand in operands)
        case Or(_, operands):
            return any(value_of(operand, values) for operand in operands)
        case Xor(_, operands):
            return sum(value_of(operand, values) for operand in operands) % 2 == 1
    raise AssertionError(expression)


@given(EXPRESSIONS, EXPRESSIONS)
@settings(max_examples=200, deadline=None)
def test_the_table_agrees_with_evaluating_every_row(one: Expression, other: Expression) -> None:
    rows = [dict(zip(NAMES, values, strict=True)) for values in product((False, True), repeat=3)]
    both = [(value_of(one, row), value_of(other, row)) for row in rows]
    table = TruthTable(one, other)
    assert table.can_hold(one, other) == any(first and second for first, second in both)
    assert table.implies(one, other) == all(second for first, second in both if first)
    assert table.never_holds(one) == (not any(first for first, _ in both))
    assert table.always_holds(one) == all(first for first, _ in both)
