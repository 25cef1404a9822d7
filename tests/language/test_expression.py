"""Conditions in Structured Text."""

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seqcheck.errors import Place, SequenceFileError
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
    names_in,
    parse_expression,
    to_text,
    walk,
)

START = Place("f", 3, 10)
A, B, C, D = (Name(START, text) for text in "abcd")


def at_least(step: str, limit_us: int) -> StepTime:
    return StepTime(START, step, at_least=True, limit_us=limit_us)


def at_most(step: str, limit_us: int) -> StepTime:
    return StepTime(START, step, at_least=False, limit_us=limit_us)


def equal(left: Expression, right: Expression) -> Expression:
    return Not(START, Xor(START, (left, right)))


# Precedence: IEC 61131-3, table of the operators of the ST language (from memory).
@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("TRUE", Constant(START, True)),
        ("false", Constant(START, False)),
        ("cutting.X", Name(START, "cutting.X")),
        ("splice.cutting.X", Name(START, "splice.cutting.X")),
        ("a AND b & c", And(START, (A, B, C))),
        ("a or b OR c", Or(START, (A, B, C))),
        ("a xor b", Xor(START, (A, B))),
        ("a OR b XOR c AND NOT d", Or(START, (A, Xor(START, (B, And(START, (C, Not(START, D)))))))),
        ("(a OR b) AND c", And(START, (Or(START, (A, B)), C))),
        ("a AND (b AND c)", And(START, (A, And(START, (B, C))))),
        ("NOT a AND b", And(START, (Not(START, A), B))),
        ("NOT a = b", equal(Not(START, A), B)),
        ("a = b AND c", And(START, (equal(A, B), C))),
        ("a = b = c", equal(equal(A, B), C)),
        ("a <> b", Xor(START, (A, B))),
        ("ORDER", Name(START, "ORDER")),
        ("not_a", Name(START, "not_a")),
        ("cutting.T >= T#250ms", at_least("cutting", 250_000)),
        ("cutting.T > T#250ms", at_least("cutting", 250_000)),
        ("cutting.T <= time#2s", at_most("cutting", 2_000_000)),
        ("cutting.T < T#2s", at_most("cutting", 2_000_000)),
        ("T#1s <= splice.cutting.T", at_least("splice.cutting", 1_000_000)),
        ("T#1s < cutting.T", at_least("cutting", 1_000_000)),
        ("T#1s >= cutting.T", at_most("cutting", 1_000_000)),
        ("T#1s > cutting.T", at_most("cutting", 1_000_000)),
        ("NOT (cutting.T >= T#0s)", Not(START, at_least("cutting", 0))),
        ("cutting.T >= T#1s = a", equal(at_least("cutting", 1_000_000), A)),
        ("ton(a OR b, T#200ms)", TimerCall(START, "TON", operand=Or(START, (A, B)), preset_us=200_000)),
        ("TOF(a, T#0s)", TimerCall(START, "TOF", operand=A, preset_us=0)),
        ("TP(a, T#1s)", TimerCall(START, "TP", operand=A, preset_us=1_000_000)),
        ("rising(a)", EdgeCall(START, "RISING", operand=A)),
        ("FALLING(NOT a)", EdgeCall(START, "FALLING", operand=Not(START, A))),
    ],
)
def test_a_condition_means_what_the_standard_says(text: str, tree: Expression) -> None:
    assert parse_expression(text, START) == tree


# Each sentence with a short text that earns it; the text starts in column 10 of line 3.
@pytest.mark.parametrize(
    ("sentence", "text"),
    [
        ("f:3:10: expected a name or a TIME literal or '(', found the end of the condition", ""),
        ("f:3:15: expected a name or a TIME literal or '(', found the end of the condition", "a AND  "),
        ("f:3:12: expected an operator such as AND or the end of the condition, found 'b'", "a b"),
        ("f:3:12: expected an operator such as AND or the end of the condition, found ':'", "a := b"),
        ("f:3:11: expected an operator such as AND or the end of the condition, found '.'", "a.1"),
        ("f:3:11: expected a name or a TIME literal or '(', found ')'", "()"),
        ("f:3:10: expected a name or a TIME literal or '(', found '5'", "5"),
        ("f:3:14: expected a name or a TIME literal or '(', found 'AND'", "NOT AND"),
        ("f:3:16: expected a name or a TIME literal or '(', found 'or'", "a and or b"),
        ("f:3:13: expected a name or a TIME literal or '(', found '.'", "NOT.x"),
        ("f:3:12: expected ')', found the end of the condition", "(a"),
        ("f:3:15: expected ',', found the end of the condition", "TON(a"),
        ("f:3:16: expected '(', found the end of the condition", "RISING"),
        ("f:3:17: expected a TIME literal as preset time, found 'b'", "TON(a, b)"),
        ("f:3:17: expected a time of zero or more, found 'T#-1s'", "TON(a, T#-1s)"),
        ("f:3:10: expected a condition, found a TIME literal", "T#1s"),
        (
            "f:3:14: expected a comparison such as 'cutting.T >= T#250ms', found the time 's.T' alone",
            "NOT s.T >= T#1s",
        ),
        ("f:3:10: expected a step time and a TIME literal around '>=', found 'a' and 'b'", "a >= b"),
        ("f:3:10: expected a step time and a TIME literal around '<', found 's.T' and 'u.T'", "s.T < u.T"),
        ("f:3:10: expected '>=' or '<=' beside a time, found '='", "s.T = T#1s"),
        ("f:3:10: expected '>=' or '<=' beside a time, found '<>'", "T#1s <> s.T"),
        ("f:3:16: expected less than 60 s after a larger unit, found 'T#1m90s'", "s.T > T#1m90s"),
        ("f:3:10: expected at most 60 levels of operators and calls, found more", "NOT " * 60 + "a"),
        ("f:3:10: expected at most 60 levels of operators and calls, found more", "a" + "=a" * 30),
        ("f:3:10: expected a condition of at most 4000 characters, found 4001", "a" * 4001),
        ("f:3:10: expected an operator such as AND or the end of the condition, found 'c'", "a\nAND b c"),
    ],
)
def test_each_mistake_earns_its_sentence(sentence: str, text: str) -> None:
    with pytest.raises(SequenceFileError) as refusal:
        parse_expression(text, START)
    assert [problem.text() for problem in refusal.value.problems] == [sentence]


def test_the_bounds_themselves_are_allowed() -> None:
    assert len(list(walk(parse_expression("NOT " * 59 + "a", START)))) == 60
    assert parse_expression("a" * 4000, START) == Name(START, "a" * 4000)
    assert parse_expression("(" * 1999 + "a" + ")" * 1999, START) == A


def test_every_part_has_its_own_place() -> None:
    tree = parse_expression("a AND NOT (b OR RISING(c))", START)
    places = [(type(part).__name__, part.place.column) for part in walk(tree)]
    assert places == [
        ("And", 10),
        ("Name", 10),
        ("Not", 16),
        ("Or", 21),
        ("Name", 21),
        ("EdgeCall", 26),
        ("Name", 33),
    ]
    assert {part.place.line for part in walk(tree)} == {3}


def test_parts_of_a_later_line_get_the_place_of_the_start() -> None:
    assert [name.place for name in names_in(parse_expression("a AND\n b", START))] == [START, START]


def test_names_come_in_the_order_of_the_text_and_without_steps() -> None:
    tree = parse_expression("b AND TON(a, T#1s) AND s.T >= T#1s AND b", START)
    assert [name.text for name in names_in(tree)] == ["b", "a", "b"]


def test_the_place_of_a_condition_is_no_part_of_its_meaning() -> None:
    assert parse_expression("a OR b", START) == parse_expression("a  OR  b", Place("g", 1, 1))


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("((a and b)) or not (c)", "a AND b OR NOT c"),
        ("a & (b or c)", "a AND (b OR c)"),
        ("not (T#90s < s.T)", "NOT (s.T >= T#90s)"),
        ("tof(a=b, T#0.5s)", "TOF(NOT (a XOR b), T#500ms)"),
    ],
)
def test_the_canonical_text_has_upper_case_and_fewest_parentheses(text: str, canonical: str) -> None:
    assert to_text(parse_expression(text, START)) == canonical


NAMES = st.from_regex(r"[a-z_][a-z0-9_]{0,5}x(\.[A-SU-Z]{1,3}x)?", fullmatch=True)
TIMES_US = st.integers(0, 10**12)
LEAVES = st.one_of(
    st.booleans().map(lambda value: Constant(START, value)),
    NAMES.map(lambda text: Name(START, text)),
    st.builds(StepTime, st.just(START), NAMES, at_least=st.booleans(), limit_us=TIMES_US),
)


def _larger(parts: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
    here, several = st.just(START), st.lists(parts, min_size=2, max_size=4).map(tuple)
    timers, edges = st.sampled_from(["TON", "TOF", "TP"]), st.sampled_from(["RISING", "FALLING"])
    return st.one_of(
        st.builds(Not, here, parts),
        *(st.builds(chain, here, several) for chain in (And, Or, Xor)),
        st.builds(TimerCall, here, timers, operand=parts, preset_us=TIMES_US),
        st.builds(EdgeCall, here, edges, operand=parts),
    )


@settings(deadline=None)
@given(st.recursive(LEAVES, _larger, max_leaves=20))
def test_the_canonical_text_parses_back_to_the_same_tree(tree: Expression) -> None:
    assert parse_expression(to_text(tree), START) == tree


WORDS = ["a", "b.T", "T#1s", "AND", "OR", "NOT", "=", "<>", ">=", "(", ")", ",", "TON", "T#", ".", "1", "é"]


@settings(deadline=None)
@given(st.lists(st.sampled_from(WORDS)))
def test_any_text_is_read_or_refused_in_order(words: list[str]) -> None:
    try:
        tree = parse_expression(" ".join(words), START)
    except SequenceFileError as refusal:
        assert len(refusal.problems) == 1
    else:
        assert parse_expression(to_text(tree), START) == tree


def test_the_parser_is_loaded_only_for_the_first_condition() -> None:
    program = "import sys, seqcheck.language.expression; sys.exit('lark' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
