"""The tree of a condition: frozen nodes, the walk over them, and their canonical text.

Nodes compare equal wherever they were written: places take no part in `==`.
"""

from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass, field
from typing import Literal

from seqcheck.errors import Place
from seqcheck.quantities.time import format_time_literal

TimerKind = Literal["TON", "TOF", "TP"]
EdgeKind = Literal["RISING", "FALLING"]


@dataclass(frozen=True, slots=True)
class Constant:
    """TRUE or FALSE."""

    place: Place = field(compare=False)
    value: bool


@dataclass(frozen=True, slots=True)
class Name:
    """A signal, step flag or truth of the machine, as written: `hood_closed`, `cutting.X`, `knife.is_out`."""

    place: Place = field(compare=False)
    text: str


@dataclass(frozen=True, slots=True)
class Not:
    """True while the operand is false."""

    place: Place = field(compare=False)
    operand: "Expression"


@dataclass(frozen=True, slots=True)
class And:
    """True while all of the two or more operands are true."""

    place: Place = field(compare=False)
    operands: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class Or:
    """True while any of the two or more operands is true."""

    place: Place = field(compare=False)
    operands: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class Xor:
    """True while an odd number of the two or more operands are true."""

    place: Place = field(compare=False)
    operands: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class StepTime:
    """The time since `step` was entered is at least `limit_us`, or at most it where `at_least` is false.

    Whole microseconds, zero or more. Ties are closed: `>` is read as `>=` and `<` as `<=`, because in dense
    time the two differ in a single instant, and both orders of that instant are explored.
    """

    place: Place = field(compare=False)
    step: str
    _: KW_ONLY
    at_least: bool
    limit_us: int


@dataclass(frozen=True, slots=True)
class TimerCall:
    """The output Q of a timer with the input `operand` and the preset time `preset_us` (zero or more)."""

    place: Place = field(compare=False)
    kind: TimerKind
    _: KW_ONLY
    operand: "Expression"
    preset_us: int


@dataclass(frozen=True, slots=True)
class EdgeCall:
    """True in the scan that sees the operand change: to true for RISING, to false for FALLING."""

    place: Place = field(compare=False)
    kind: EdgeKind
    _: KW_ONLY
    operand: "Expression"


Expression = Constant | Name | Not | And | Or | Xor | StepTime | TimerCall | EdgeCall


def walk(expression: Expression) -> Iterator[Expression]:
    """Yield the expression and all its parts, each before its own parts, from left to right."""
    waiting = [expression]
    while waiting:
        part = waiting.pop()
        yield part
        waiting.extend(reversed(_operands(part)))


def names_in(expression: Expression) -> Iterator[Name]:
    """Yield every Name in the order of the text; the step of a StepTime is not a Name."""
    return (part for part in walk(expression) if isinstance(part, Name))


def to_text(expression: Expression) -> str:
    """Return the canonical text: upper-case keywords, fewest parentheses.

    It parses back to an equal tree, unless it exceeds the bound on the length of a text.
    """
    match expression:
        case Constant(_, value):
            return "TRUE" if value else "FALSE"
        case Name(_, text):
            return text
        case StepTime(_, step):
            sign = ">=" if expression.at_least else "<="
            return f"{step}.T {sign} {format_time_literal(expression.limit_us)}"
        case TimerCall(_, kind):
            return f"{kind}({to_text(expression.operand)}, {format_time_literal(expression.preset_us)})"
        case EdgeCall(_, kind):
            return f"{kind}({to_text(expression.operand)})"
        case Not(_, operand):
            return f"NOT {_inner_text(operand, _strength(expression))}"
        case And() | Or() | Xor():
            weakest = _strength(expression) + 1
            sign = f" {type(expression).__name__.upper()} "
            return sign.join(_inner_text(operand, weakest) for operand in expression.operands)


def _operands(expression: Expression) -> tuple[Expression, ...]:
    match expression:
        case And(_, operands) | Or(_, operands) | Xor(_, operands):
            return operands
        case Not() | TimerCall() | EdgeCall():
            return (expression.operand,)
        case _:
            return ()


def _inner_text(operand: Expression, weakest: int) -> str:
    text = to_text(operand)
    return text if _strength(operand) >= weakest else f"({text})"


def _strength(expression: Expression) -> int:
    """Return how tightly the outermost operator binds; calls and names bind tightest."""
    order = (Or, Xor, And, StepTime, Not)
    return order.index(type(expression)) if isinstance(expression, order) else len(order)
