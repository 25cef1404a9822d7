"""The parts of one unit of a controller text, looked up for reading it back: calls, assignments, timers and edges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.language.expression import And, Constant, EdgeCall, Expression, Name, Not, Or, TimerCall, Xor
from seqcheck.plc.program import Unit
from seqcheck.plc.statement import Assignment, Call, Case, If, Statement
from seqcheck.plc.types_of_text import failure
from seqcheck.plc.value import (
    Chain,
    Comparison,
    Duration,
    Enumerator,
    Negation,
    Reference,
    Truth,
    Value,
    references_in,
)

TIMERS = ("TON", "TOF", "TP")


def statements_in(body: tuple[Statement, ...]) -> Iterator[Statement]:
    """Every statement, outer ones before those in them."""
    for part in body:
        yield part
        match part:
            case If(branches, otherwise):
                for branch in branches:
                    yield from statements_in(branch.body)
                yield from statements_in(otherwise)
            case Case():
                for arm in part.branches:
                    yield from statements_in(arm.body)
                yield from statements_in(part.otherwise)


def references_of(body: tuple[Statement, ...]) -> Iterator[Reference]:
    """Every variable that statements look at or write."""
    for part in statements_in(body):
        match part:
            case Assignment(target, value):
                yield target
                yield from references_in(value)
            case Call(_, arguments):
                yield from (found for argument in arguments for found in references_in(argument.value))
            case If(branches):
                yield from (found for branch in branches for found in references_in(branch.condition))
            case Case():
                yield from references_in(part.selector)
                yield from (found for arm in part.branches for label in arm.labels for found in references_in(label))


@dataclass(frozen=True, slots=True)
class TimerUse:
    """A timer as it is called: its type, its input and its preset in microseconds."""

    kind: str
    value: Value
    us: int


@dataclass(slots=True)
class UnitParts:
    """The parts of a unit. `calls`: the last call of each block whose first argument is not FALSE; filled once."""

    unit: Unit
    calls: dict[str, Call] = field(default_factory=dict)
    assigned: dict[str, Assignment] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Go through the body once."""
        for part in statements_in(self.unit.body):
            match part:
                case Call(instance, arguments) if not arguments or arguments[0].value != Truth(False) or len(arguments) > 2:
                    self.calls[instance] = part
                case Assignment(target):
                    self.assigned[target.text] = part

    def type_of(self, name: str) -> str:
        """The type of a variable, as written; empty if there is none."""
        variable = self.unit.variable(name)
        return "" if variable is None else variable.type_name

    def timer(self, name: str) -> TimerUse | None:
        """The timer called `name`, or None."""
        call = self.calls.get(name)
        if call is None or self.type_of(name) not in TIMERS:
            return None
        given = {argument.name: argument.value for argument in call.arguments}
        preset = given.get("PT")
        if "IN" not in given or not isinstance(preset, Duration):
            raise failure(call.place, "IN and a TIME literal as PT in the call of a timer", "something else")
        return TimerUse(self.type_of(name), given["IN"], preset.us)


@dataclass(frozen=True, slots=True)
class ConditionReading:
    """Makes conditions of values; `name` and `comparison` are what a unit's own names mean, None: nothing known."""

    parts: UnitParts

    def condition(self, value: Value) -> Expression:
        """The condition that a value is.

        Raises SequenceFileError with the place of what is not understood.
        """
        place = value.place
        match value:
            case Truth(truth):
                return Constant(place, truth)
            case Negation(operand):
                return Not(place, self.condition(operand))
            case Chain(operator, operands):
                kinds: dict[str, type[And | Or | Xor]] = {"AND": And, "OR": Or, "XOR": Xor}
                return kinds[operator](place, tuple(self.condition(operand) for operand in operands))
            case Reference():
                return self._block(value) or self.named(value)
            case Comparison():
                return self.compared(value)
        raise failure(place, "a condition", "another value")

    def named(self, value: Reference) -> Expression:
        """What a variable is called in a sequence file."""
        return Name(value.place, value.text)

    def compared(self, value: Comparison) -> Expression:
        """What a comparison means."""
        raise failure(value.place, "a comparison of a step", "another one")

    def _block(self, value: Reference) -> Expression | None:
        """A timer or an edge of a condition, by its output Q; a falling edge by the two lines that make it."""
        owner = value.path[0]
        if value.path[1:] == ("Q",):
            timer = self.parts.timer(owner)
            if timer is not None:
                operand = self.condition(timer.value)
                return TimerCall(value.place, timer.kind, operand=operand, preset_us=timer.us)  # type: ignore[arg-type]
            if self.parts.type_of(owner) == "R_TRIG" and owner in self.parts.calls:
                clock = self.parts.calls[owner].arguments[0].value
                return EdgeCall(value.place, "RISING", operand=self.condition(clock))
        return self._falling(value)

    def _falling(self, value: Reference) -> Expression | None:
        made = self.parts.assigned.get(value.text)
        match made and made.value:
            case Chain("AND", (Reference() as before, Negation(operand))):
                kept = self.parts.assigned.get(before.text)
                if kept is not None and kept.value == operand and len(value.path) == 1:
                    return EdgeCall(value.place, "FALLING", operand=self.condition(operand))
        return None


def step_of(value: Value, variable: Reference) -> str | None:
    """The step in `variable = type#step`, or None."""
    match value:
        case Comparison(left=left, sign="=", right=Enumerator(name=name)) if left == variable:
            return name
        case _:
            return None
