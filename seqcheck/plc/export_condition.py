"""Conditions of charts in the words of a controller text; their timers and edges become function blocks.

A timer or an edge exists once for each place in the file, and is run in every scan, whatever step is active.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

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
    to_text,
)
from seqcheck.plc.identifier import Identifiers
from seqcheck.plc.program import Variable
from seqcheck.plc.statement import Argument, Assignment, Call, Statement
from seqcheck.plc.value import Chain, Duration, Negation, Truth, Value, both, variable

SHORTEST_PRESET_US = 1
"""A preset of zero: here a timer never ends in the scan that starts it, where controllers differ; 1 us is over at the next."""


@dataclass(frozen=True, slots=True)
class Names:
    """How a unit calls what its conditions look at: variables and step flags, and `step.T >= limit`."""

    named: Callable[[str], Value]
    reached: Callable[[str, int], Value]


@dataclass(slots=True)
class Blocks:
    """The timers and edges of the conditions of one unit. Mutable while the unit is made; owned by its export."""

    names: Names
    identifiers: Identifiers
    variables: list[Variable] = field(default_factory=list)
    calls: list[Statement] = field(default_factory=list)

    def value(self, condition: Expression, where: str) -> Value:
        """The condition in the words of the unit; `where` begins the names of its timers and edges."""
        match condition:
            case Constant(value=value):
                return Truth(value)
            case Name(text=text):
                return self.names.named(text)
            case StepTime(step=step, limit_us=limit_us):
                return self._step_time(step, limit_us, condition.at_least)
            case TimerCall():
                return self._timer(condition, where)
            case EdgeCall():
                return self._edge(condition, where)
            case Not(operand=operand):
                return Negation(self.value(operand, where))
            case And(operands=operands):
                return Chain("AND", tuple(self.value(part, where) for part in operands))
            case Or(operands=operands):
                return Chain("OR", tuple(self.value(part, where) for part in operands))
            case Xor(operands=operands):
                return Chain("XOR", tuple(self.value(part, where) for part in operands))

    def _step_time(self, step: str, limit_us: int, at_least: bool) -> Value:
        reached = self.names.reached(step, limit_us)
        return reached if at_least else both(self.names.named(f"{step}.X"), Negation(reached))

    def _timer(self, condition: TimerCall, where: str) -> Value:
        operand = self.value(condition.operand, where)
        name = self._declare(f"{where}_{condition.kind.lower()}", condition.kind, to_text(condition))
        self.calls.append(timer_call(name, operand, condition.preset_us))
        return variable(name, "Q")

    def _edge(self, condition: EdgeCall, where: str) -> Value:
        operand = self.value(condition.operand, where)
        text = to_text(condition)
        if condition.kind == "RISING":
            name = self._declare(f"{where}_rising", "R_TRIG", text)
            self.calls.append(Call(name, (Argument(name="CLK", value=operand),)))
            return variable(name, "Q")
        # Not F_TRIG: that one finds an edge in the first scan if its input is false then.
        name = self._declare(f"{where}_falling", "BOOL", text)
        before = self._declare(f"{where}_before", "BOOL", "the same, in the scan before")
        happened = both(variable(before), Negation(operand))
        self.calls += [Assignment(variable(name), happened), Assignment(variable(before), operand)]
        return variable(name)

    def _declare(self, wanted: str, type_name: str, comment: str) -> str:
        name = self.identifiers.new(wanted)
        self.variables.append(Variable(name=name, type_name=type_name, comment=comment))
        return name


def timer_call(name: str, value: Value, us: int) -> Call:
    """The call of a timer with its input and its preset."""
    preset = Duration(max(us, SHORTEST_PRESET_US))
    return Call(name, (Argument(name="IN", value=value), Argument(name="PT", value=preset)))
