"""Conditions of charts evaluated straight from their text's tree, with clocks of their own.

This is a second opinion on the kernel's controller, so it shares no code with it: the kernel counts timers
down as events, this compares times with `start + preset <= now`. A timer cannot be seen expired by the read
that starts it.
Source: IEC 61131-3, function blocks TP, TON, TOF, R_TRIG, F_TRIG.
"""

from __future__ import annotations

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
)


@dataclass(slots=True)
class Stopwatch:
    """Since when something goes on: the time, and the number of the read that started it.

    None: it does not. Mutable.
    """

    started_us: int | None = None
    started_read: int = 0

    def start(self, moment: Moment) -> None:
        """Start anew."""
        self.started_us, self.started_read = moment.now_us, moment.read

    def stop(self) -> None:
        """Forget."""
        self.started_us = None

    def has_reached(self, limit_us: int, moment: Moment) -> bool:
        """Whether it has gone on for the limit, as far as this read can know."""
        if self.started_us is None or self.started_read >= moment.read:
            return False
        return self.started_us + limit_us <= moment.now_us


@dataclass(frozen=True, slots=True)
class Moment:
    """A read: its time and its number (the first is 1)."""

    now_us: int
    read: int


@dataclass(slots=True)
class Inputs:
    """What conditions see: names that are true, and since when each active step is active.

    Mutable during a read.
    """

    true_names: frozenset[str]
    steps: dict[str, str]
    step_times: dict[str, Stopwatch]
    limits_us: dict[str, int]
    moment: Moment

    def is_true(self, name: str) -> bool:
        """Whether a signal, output, flag, alarm or step flag is true."""
        chart, _, step = name.removesuffix(".X").removesuffix(".late").partition(".")
        if name.endswith(".late"):
            return self.is_step_older(f"{chart}.{step}", self.limits_us[f"{chart}.{step}"])
        if name.endswith(".X"):
            return self.steps[chart] == step
        return name in self.true_names

    def is_active(self, step: str) -> bool:
        """Whether `chart.step` is the active step of its chart."""
        chart, _, name = step.partition(".")
        return self.steps[chart] == name

    def is_step_older(self, step: str, limit_us: int) -> bool:
        """Whether `chart.step` has been active for the limit."""
        return self.is_active(step) and self.step_times[step.partition(".")[0]].has_reached(
            limit_us, self.moment
        )


@dataclass(slots=True)
class BlockState:
    """A timer or an edge: its clock, the input at the last read, and its output Q.

    Mutable; owned by the blocks.
    """

    clock: Stopwatch = field(default_factory=Stopwatch)
    was_on: bool = False
    output: bool = False


@dataclass(slots=True)
class Blocks:
    """The timers and edges of some conditions, each one where it stands.

    Mutable: it remembers the last read.
    """

    conditions: tuple[Expression, ...]
    states: dict[int, BlockState] = field(default_factory=dict)

    def update(self, inputs: Inputs) -> None:
        """Bring every timer and edge up to date, inner ones first."""
        for condition in self.conditions:
            self._update(condition, inputs)

    def _update(self, part: Expression, inputs: Inputs) -> None:
        match part:
            case Not(operand=operand):
                self._update(operand, inputs)
            case And(operands=operands) | Or(operands=operands) | Xor(operands=operands):
                for operand in operands:
                    self._update(operand, inputs)
            case TimerCall(operand=operand) | EdgeCall(operand=operand):
                self._update(operand, inputs)
                state = self.states.setdefault(id(part), BlockState())
                is_on = self.holds(operand, inputs)
                state.output = self._output(part, state, is_on, inputs.moment)
                state.was_on = is_on

    @staticmethod
    def _output(part: TimerCall | EdgeCall, state: BlockState, is_on: bool, moment: Moment) -> bool:
        match part.kind:
            case "RISING":
                return is_on and not state.was_on
            case "FALLING":
                return state.was_on and not is_on
        assert isinstance(part, TimerCall)
        return _TIMERS[part.kind](state, is_on, part.preset_us, moment)

    def holds(self, part: Expression, inputs: Inputs) -> bool:
        """Whether a condition holds in this read."""
        match part:
            case Constant(value=value):
                return value
            case Name(text=text):
                return inputs.is_true(text)
            case Not(operand=operand):
                return not self.holds(operand, inputs)
            case And(operands=operands):
                return all(self.holds(operand, inputs) for operand in operands)
            case Or(operands=operands):
                return any(self.holds(operand, inputs) for operand in operands)
            case Xor(operands=operands):
                return sum(self.holds(operand, inputs) for operand in operands) % 2 == 1
            case StepTime(step=step, at_least=at_least, limit_us=limit_us):
                is_older = inputs.is_step_older(step, limit_us)
                return is_older if at_least else inputs.is_active(step) and not is_older
            case TimerCall() | EdgeCall():
                return self.states[id(part)].output


def _on_delay(state: BlockState, is_on: bool, preset_us: int, moment: Moment) -> bool:
    if not is_on:
        state.clock.stop()
    elif not state.was_on:
        state.clock.start(moment)
    return is_on and state.clock.has_reached(preset_us, moment)


def _off_delay(state: BlockState, is_on: bool, preset_us: int, moment: Moment) -> bool:
    if is_on:
        state.clock.stop()
        return True
    if state.was_on:
        state.clock.start(moment)
    return state.clock.started_us is not None and not state.clock.has_reached(preset_us, moment)


def _pulse(state: BlockState, is_on: bool, preset_us: int, moment: Moment) -> bool:
    clock = state.clock
    if clock.started_us is not None and clock.has_reached(preset_us, moment) and not is_on:
        clock.stop()
    elif clock.started_us is None and is_on:
        clock.start(moment)
    return clock.started_us is not None and not clock.has_reached(preset_us, moment)


_TIMERS = {"TON": _on_delay, "TOF": _off_delay, "TP": _pulse}
