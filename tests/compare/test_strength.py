"""Which condition asks for more, held against z3 on drawn conditions."""

import z3
from hypothesis import given, settings
from hypothesis import strategies as st

from seqcheck.compare.strength import Strength, strength
from seqcheck.errors import Place
from seqcheck.language.expression import And, Expression, Name, Not, Or, Xor, parse_expression

HERE = Place("drawn", 1, 1)
NAMES = st.sampled_from("abcd").map(lambda name: Name(HERE, name))
EXPRESSIONS = st.recursive(
    NAMES,
    lambda part: st.one_of(
        part.map(lambda inner: Not(HERE, inner)),
        st.tuples(st.sampled_from([And, Or, Xor]), part, part).map(lambda made: made[0](HERE, (made[1], made[2]))),
    ),
    max_leaves=8,
)


def in_z3(expression: Expression) -> z3.BoolRef:
    match expression:
        case Name(text=text):
            return z3.Bool(text)
        case Not(operand=operand):
            return z3.Not(in_z3(operand))
        case And(operands=(one, other)):
            return z3.And(in_z3(one), in_z3(other))
        case Or(operands=(one, other)):
            return z3.Or(in_z3(one), in_z3(other))
        case Xor(operands=(one, other)):
            return z3.Xor(in_z3(one), in_z3(other))
    raise AssertionError(expression)


def implies(one: Expression, other: Expression) -> bool:
    solver = z3.Solver()
    solver.add(in_z3(one), z3.Not(in_z3(other)))
    return solver.check() == z3.unsat


@settings(max_examples=150, deadline=None)
@given(old=EXPRESSIONS, new=EXPRESSIONS)
def test_strength_agrees_with_z3(old: Expression, new: Expression) -> None:
    to_old, to_new = implies(new, old), implies(old, new)
    expected = {
        (True, True): Strength.SAME,
        (True, False): Strength.STRONGER,
        (False, True): Strength.WEAKER,
        (False, False): Strength.OTHER,
    }
    assert strength(old, new) is expected[to_old, to_new]


def test_too_many_names_are_not_decided() -> None:
    many = " AND ".join(f"n{number}" for number in range(17))
    old, new = parse_expression(many, HERE), parse_expression(f"({many}) OR n0", HERE)
    assert strength(old, new) is Strength.NOT_DECIDED


def test_two_steps_of_a_chart_are_never_active_together() -> None:
    """`NOT one.X` and `two.X`: the second implies the first, as the chart has one active step."""
    old, new = parse_expression("work.two.X", HERE), parse_expression("NOT work.one.X", HERE)
    assert strength(old, new) is Strength.WEAKER
