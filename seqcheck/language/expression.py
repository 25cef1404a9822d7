"""Conditions: a text in the Structured Text of IEC 61131-3 becomes a frozen tree.

Two steps. The grammar (`expression.lark`) accepts the shape and yields lark's tree; `_Reading` gives each
part its meaning and its place, and refuses what has the right shape but no meaning here, such as
`NOT cutting.T`. The nodes are in `expression_tree.py`; this module offers them beside `parse_expression`.
"""

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, cast

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.expression_tree import (
    And,
    Constant,
    EdgeCall,
    EdgeKind,
    Expression,
    Name,
    Not,
    Or,
    StepTime,
    TimerCall,
    TimerKind,
    Xor,
    names_in,
    to_text,
    walk,
)
from seqcheck.language.origin import AS_WRITTEN, Origin
from seqcheck.quantities.time import parse_time_literal

if TYPE_CHECKING:
    from lark import Lark, Token, Tree, UnexpectedInput

__all__ = [
    "And",
    "Constant",
    "EdgeCall",
    "EdgeKind",
    "Expression",
    "Name",
    "Not",
    "Or",
    "StepTime",
    "TimerCall",
    "TimerKind",
    "Xor",
    "names_in",
    "parse_expression",
    "to_text",
    "walk",
]

LONGEST_EXPRESSION = 4_000
"""Characters. A condition that a reviewer can follow has a few hundred."""

DEEPEST_EXPRESSION = 60
"""Levels of operators and calls. People write below 10; the tree is walked by recursion, which must end."""

_WORDS_BY_TERMINAL = {
    "NAME": "a name",
    "TIME": "a TIME literal",
    "LPAR": "'('",
    "_AND": "an operator such as AND",
    "COMMA": "','",
    "RPAR": "')'",
    "$END": "the end of the condition",
}


def parse_expression(text: str, place: Place, origin: Origin = AS_WRITTEN) -> Expression:
    """Return the tree of a condition; `place` is where `text` starts in its file.

    Parts of the first line of `text` get their own column; parts of later lines, which YAML may have moved,
    get `place` itself. `origin`: where the characters of a text that was filled in come from.

    Raises SequenceFileError with the first problem: a syntax error, a time used as a condition or the
    reverse, a bound exceeded.
    """
    reading = _Reading(place, origin)
    if len(text) > LONGEST_EXPRESSION:
        raise reading.failure(1, 1, f"a condition of at most {LONGEST_EXPRESSION} characters", str(len(text)))
    tree = _parse_tree(text, reading)
    if _depth(tree) > DEEPEST_EXPRESSION:
        raise reading.failure(1, 1, f"at most {DEEPEST_EXPRESSION} levels of operators and calls", "more")
    return reading.condition(tree)


@dataclass(frozen=True, slots=True)
class _Elapsed:
    """`step.T`, which has a meaning only inside a comparison."""

    step: str


@dataclass(frozen=True, slots=True)
class _Duration:
    """A TIME literal, which has a meaning only inside a comparison or as a preset time."""

    us: int


_Value = Expression | _Elapsed | _Duration


class _Reading:
    """Gives lark's tree of one text its meaning; holds where that text starts and never changes."""

    def __init__(self, start: Place, origin: Origin) -> None:
        self._start = start
        self._origin = origin

    def failure(self, line: int, column: int, expected: str, found: str) -> SequenceFileError:
        """Return the error with the one problem, at a line and column of the text."""
        return SequenceFileError([Problem(place=self._place(line, column), expected=expected, found=found)])

    def condition(self, tree: "Tree[Token]") -> Expression:
        """Return the tree's meaning, which must be true or false rather than a time."""
        value = self._value(tree)
        if isinstance(value, _Elapsed):
            found = f"the time '{value.step}.T' alone"
            raise self._refusal(tree, "a comparison such as 'cutting.T >= T#250ms'", found)
        if isinstance(value, _Duration):
            raise self._refusal(tree, "a condition", "a TIME literal")
        return value

    def _value(self, tree: "Tree[Token]") -> _Value:
        place = self._place(tree.meta.line, tree.meta.column)
        parts = tree.children
        match tree.data:
            case "name":
                return _named(place, str(parts[0]))
            case "constant":
                return Constant(place, str(parts[0]).upper() == "TRUE")
            case "time":
                return self._duration(tree)
            case "negation":
                return Not(place, self.condition(_tree(parts[1])))
            case "comparison":
                return self._step_time(place, tree)
            case "equality":
                return self._equality(place, tree)
            case "timer_call":
                return self._timer_call(place, tree)
            case "edge_call":
                kind = cast(EdgeKind, str(parts[0]).upper())
                return EdgeCall(place, kind, operand=self.condition(_tree(parts[1])))
        chains: dict[str, type[And | Or | Xor]] = {"and_chain": And, "xor_chain": Xor, "or_chain": Or}
        return chains[tree.data](place, tuple(self.condition(_tree(part)) for part in parts))

    def _duration(self, tree: "Tree[Token]") -> _Duration:
        try:
            us = parse_time_literal(str(tree.children[0]))
        except ValueError as error:
            place = self._place(tree.meta.line, tree.meta.column)
            raise SequenceFileError([Problem.of(place, error)]) from None
        if us < 0:
            raise self._refusal(tree, "a time of zero or more", repr(str(tree.children[0])))
        return _Duration(us)

    def _step_time(self, place: Place, tree: "Tree[Token]") -> StepTime:
        left, sign, right = tree.children
        sides = (self._value(_tree(left)), self._value(_tree(right)))
        match sides:
            case (_Elapsed(step), _Duration(us)):
                return StepTime(place, step, at_least=">" in str(sign), limit_us=us)
            case (_Duration(us), _Elapsed(step)):
                return StepTime(place, step, at_least="<" in str(sign), limit_us=us)
        found = f"{_described(sides[0])} and {_described(sides[1])}"
        raise self._refusal(tree, f"a step time and a TIME literal around '{sign}'", found)

    def _equality(self, place: Place, tree: "Tree[Token]") -> Expression:
        left, sign, right = tree.children
        sides = (self._value(_tree(left)), self._value(_tree(right)))
        if any(isinstance(side, _Elapsed | _Duration) for side in sides):
            raise self._refusal(tree, "'>=' or '<=' beside a time", f"'{sign}'")
        differ = Xor(place, cast(tuple[Expression, Expression], sides))
        return differ if sign == "<>" else Not(place, differ)

    def _timer_call(self, place: Place, tree: "Tree[Token]") -> TimerCall:
        kind, operand, preset = tree.children
        duration = self._value(_tree(preset))
        if not isinstance(duration, _Duration):
            raise self._refusal(_tree(preset), "a TIME literal as preset time", _described(duration))
        timer_kind = cast(TimerKind, str(kind).upper())
        return TimerCall(place, timer_kind, operand=self.condition(_tree(operand)), preset_us=duration.us)

    def _refusal(self, tree: "Tree[Token]", expected: str, found: str) -> SequenceFileError:
        return self.failure(tree.meta.line, tree.meta.column, expected, found)

    def _place(self, line: int, column: int) -> Place:
        start = self._start
        return start.after(self._origin.column(column - 1)) if line == 1 else start


def _tree(part: "Tree[Token] | Token") -> "Tree[Token]":
    return cast("Tree[Token]", part)  # by the grammar, never a token where this is used


def _named(place: Place, text: str) -> Name | _Elapsed:
    """Return what a dotted name means: the last part `T` makes it a step's elapsed time."""
    step, _, last = text.rpartition(".")
    return _Elapsed(step) if step and last == "T" else Name(place, text)


def _described(value: _Value) -> str:
    match value:
        case Name(_, text):
            return f"'{text}'"
        case _Elapsed(step):
            return f"'{step}.T'"
        case _Duration():
            return "a TIME literal"
        case _:
            return "a condition"


def _depth(tree: "Tree[Token]") -> int:
    """Return the number of levels, counted without recursion; an equality becomes two levels (NOT, XOR)."""
    deepest = 0
    waiting = [(tree, 1)]
    while waiting:
        part, depth = waiting.pop()
        deepest = max(deepest, depth)
        below = depth + (2 if part.data == "equality" else 1)
        waiting.extend((_tree(child), below) for child in part.children if not isinstance(child, str))
    return deepest


@lru_cache(maxsize=1)
def _parser() -> "Lark":
    """Return the parser, made once: building its tables takes longer than parsing a whole file."""
    from lark import Lark

    grammar = files("seqcheck.language").joinpath("expression.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="basic", propagate_positions=True, maybe_placeholders=False)


def _parse_tree(text: str, reading: _Reading) -> "Tree[Token]":
    from lark import UnexpectedInput

    try:
        return _parser().parse(text)
    except UnexpectedInput as error:
        line, column, found = _unexpected(text, error)
        expected = _expected_words(text, error)
    raise reading.failure(line, column, expected, found)


def _unexpected(text: str, error: "UnexpectedInput") -> tuple[int, int, str]:
    """Return line, column and words for what stands where the parser stopped."""
    token = getattr(error, "token", None)
    if token is not None and token.type == "$END":
        before = text.rstrip().split("\n")
        return len(before), len(before[-1]) + 1, "the end of the condition"
    found = str(token) if token is not None else text[error.pos_in_stream or 0]
    return error.line, error.column, repr(found if len(found) <= 60 else f"{found[:60]}...")


def _expected_words(text: str, error: "UnexpectedInput") -> str:
    """Return words for what may stand where the parser stopped."""
    terminals = getattr(error, "accepts", None) or _accepted_after(text[: error.pos_in_stream])
    known = [words for terminal, words in _WORDS_BY_TERMINAL.items() if terminal in terminals]
    return " or ".join(known)


def _accepted_after(before: str) -> set[str]:
    """Return the terminals that may follow the text before a character that starts no word."""
    from lark import UnexpectedToken

    try:
        _parser().parse(before)
    except UnexpectedToken as error:  # at the end of that text: it is not yet a condition
        return error.accepts or set()
    return {"_AND", "$END"}
