"""Looks up the names of a condition: each must exist, and its reader must be able to see it.

The controller sees inputs, what it writes itself, and its steps. Wiring (devices, circuits) sees the machine,
contacts and outputs. A requirement sees all of it, but keeps no memory of its own. What comes back is the
condition with every step in its full form `chart.step`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from seqcheck.errors import Place
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
)
from seqcheck.reader.names import NameKind, Names, StepName
from seqcheck.reader.problem_log import ProblemLog


class Audience(Enum):
    """Who reads a condition; the value says in a sentence what it can see."""

    CONTROLLER = "what the controller sees (inputs, outputs, flags, alarms, steps)"
    WIRING = "what is wired (inputs, outputs, facts of devices, circuits)"
    REQUIREMENT = "an input, output, flag, alarm, step flag or fact of the machine"


_VISIBLE = {
    Audience.CONTROLLER: (NameKind.SIGNAL, NameKind.OUTPUT, NameKind.FLAG, NameKind.ALARM),
    Audience.WIRING: (NameKind.SIGNAL, NameKind.OUTPUT, NameKind.FACT),
    Audience.REQUIREMENT: (
        NameKind.SIGNAL,
        NameKind.OUTPUT,
        NameKind.FLAG,
        NameKind.ALARM,
        NameKind.FACT,
    ),
}
_STEP_FLAGS = ("X", "late")


@dataclass(frozen=True, slots=True)
class Scope:
    """The names of a file as one audience sees them; notes in `log` what cannot be looked up."""

    names: Names
    audience: Audience
    log: ProblemLog

    def resolved(self, expression: Expression) -> Expression:
        """Return the condition with full step names; every name that is wrong has been noted."""
        match expression:
            case Name(place, text):
                return Name(place, self._name(text, place))
            case StepTime(place, step):
                return replace(expression, step=self._step_time(step, place))
            case And(place, operands) | Or(place, operands) | Xor(place, operands):
                return type(expression)(place, tuple(self.resolved(operand) for operand in operands))
            case TimerCall() | EdgeCall():
                self._check_memory(expression)
                return replace(expression, operand=self.resolved(expression.operand))
            case Not(place, operand):
                return Not(place, self.resolved(operand))
            case Constant():
                return expression

    def visible(self) -> Iterator[str]:
        """Yield every name that this audience may use."""
        yield from self.names.of_kind(*_VISIBLE[self.audience])
        if self.audience is not Audience.WIRING:
            yield from self.names.flag_spellings()

    def _name(self, text: str, place: Place) -> str:
        text = self.names.step_flags.get(text, text)
        owner, _, last = text.rpartition(".")
        kind = self.names.kinds.get(text)
        if kind is None and last in _STEP_FLAGS and owner:
            return self._step_flag(text, owner, last, place)
        if kind not in _VISIBLE[self.audience] and not self.names.is_doubtful(text):
            self._refuse(text, kind, place)
        return text

    def _refuse(self, text: str, kind: NameKind | None, place: Place) -> None:
        if kind is not None:
            self.log.note(place, self.audience.value, f"{text!r}, {kind.value}")
        elif self.names.steps_called(text) and self.audience is not Audience.WIRING:
            self.log.note(place, f"a step flag ('{text}.X')", f"the step {text!r}")
        else:
            self.log.unknown(place, self.audience.value, text, self.visible())

    def _step_flag(self, text: str, owner: str, flag: str, place: Place) -> str:
        if self.audience is Audience.WIRING:
            self.log.note(place, self.audience.value, f"the step flag {text!r}")
            return text
        step = self._only_step(text, owner, place)
        if step is None:
            return text
        if flag == "late" and not step.has_watchdog:
            self.log.note(place, f"'within' in the step {step.full}, on which 'late' rests", f"{text!r}")
        return f"{step.full}.{flag}"

    def _step_time(self, step: str, place: Place) -> str:
        if self.audience is not Audience.CONTROLLER:
            self.log.note(place, "a condition without memory (no step times)", f"'{step}.T'")
            return step
        found = self._only_step(f"{step}.T", step, place)
        return step if found is None else found.full

    def _only_step(self, text: str, owner: str, place: Place) -> StepName | None:
        steps = self.names.steps_called(owner)
        if len(steps) == 1:
            return steps[0]
        if steps:
            full = " or ".join(step.full for step in steps)
            self.log.note(place, f"the step with its chart ({full})", f"{text!r}")
        elif not self.names.is_doubtful(owner):
            suffix = text.removeprefix(owner)
            known = [f"{name}{suffix}" for name in self.names.step_spellings()]
            self.log.unknown(place, "a step of a chart", text, known)
        return None

    def _check_memory(self, call: TimerCall | EdgeCall) -> None:
        if self.audience is not Audience.CONTROLLER:
            found = f"'{call.kind}(...)'"
            self.log.note(call.place, "a condition without memory (no timers, no edges)", found)
