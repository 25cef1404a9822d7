"""What a controller remembers, as named cells: steps, timers, edges, latches, flags, alarms.

A memory is a tuple of values in the order of `TickCells.names`: a step's name, the state of a timer (idle,
running, expired, held), or a truth. The cells are named after what the file says, so that states of different engines can
be compared.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

from seqcheck.language.expression import And, EdgeCall, Expression, Not, Or, StepTime, TimerCall, Xor, to_text
from seqcheck.language.sequence import Action, Chart, Sequence, Step

IDLE, RUNNING, EXPIRED, HELD = "idle", "running", "expired", "held"
ON_LEAVING = ("L", "D", "DS")
"""Qualifiers whose time ends with the step."""
ON_RESET = ("SD", "SL", "DS")
"""Qualifiers whose time ends with a reset."""
STORED = ("S", "SD", "DS")
SET_OFF = ("SD", "SL")
"""Qualifiers whose time runs on, whatever the step does, until a reset; an active step sets it off again after that."""

Value = str | bool
Memory = tuple[Value, ...]


class Block(NamedTuple):
    """A timer or edge in a condition, with the names of its cells."""

    call: TimerCall | EdgeCall
    state: str
    output: str


class StepAction(NamedTuple):
    """An action with its step and the name of its timer, if it has one."""

    chart: str
    step: str
    action: Action
    timer: str | None


@dataclass(slots=True)
class TickCells:
    """The cells of a controller, their initial values, and which timers belong to which step. Mutable only while made."""

    sequence: Sequence
    initial: dict[str, Value] = field(default_factory=dict)
    lengths_us: dict[str, int] = field(default_factory=dict)
    step_timers: dict[tuple[str, str], list[str]] = field(default_factory=dict)
    actions: list[StepAction] = field(default_factory=list)
    blocks: dict[str, list[Block]] = field(default_factory=dict)
    _outputs_of_blocks: dict[int, str] = field(default_factory=dict)
    _uses: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        """Make the cells."""
        for chart in self.sequence.charts:
            self.initial[chart.name] = chart.initial.name
        for name in [flag.name for flag in self.sequence.flags] + [alarm.name for alarm in self.sequence.alarms]:
            self.initial[name] = False
        for chart in self.sequence.charts:
            for step in chart.steps:
                self._make_step(chart, step)
        for chart in self.sequence.charts:
            self._make_conditions(chart)
        for alarm in self.sequence.alarms:
            self._make_blocks(alarm.clear, "")
        self._start_initial_steps()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the cells, in the order of a memory."""
        return tuple(self.initial)

    def start(self) -> Memory:
        """Memory at power-up."""
        return tuple(self.initial.values())

    # -- cells -------------------------------------------------------------------------------------------------

    def _new(self, name: str, value: Value) -> str:
        """A new cell; the second of a name is called `name #2`."""
        self._uses[name] += 1
        unique = name if self._uses[name] == 1 else f"{name} #{self._uses[name]}"
        self.initial[unique] = value
        return unique

    def _new_timer(self, name: str, length_us: int) -> str:
        timer = self._new(f"{name} @{length_us}", IDLE)
        self.lengths_us[timer] = length_us
        return timer

    def _make_step(self, chart: Chart, step: Step) -> None:
        timers = self.step_timers.setdefault((chart.name, step.name), [])
        full = f"{chart.name}.{step.name}"
        if step.watchdog is not None:
            timers.append(self._new_timer(f"{full} watchdog", step.watchdog.limit_us))
        for action in step.actions:
            timer = None
            if action.time_us is not None:
                timer = self._new_timer(f"{full} {action.variable} {action.qualifier}", action.time_us)
            if action.qualifier in (*STORED, "R"):
                self.initial.setdefault(f"{action.variable} stored", False)
            self.actions.append(StepAction(chart.name, step.name, action, timer))

    def _make_conditions(self, chart: Chart) -> None:
        done: set[int] = set()
        for step in chart.steps:
            for transition in chart.transitions_of(step):
                if id(transition) not in done:
                    done.add(id(transition))
                    self._make_blocks(transition.condition, chart.name)

    def _make_blocks(self, expression: Expression, owner: str) -> None:
        match expression:
            case And(operands=operands) | Or(operands=operands) | Xor(operands=operands):
                for part in operands:
                    self._make_blocks(part, owner)
            case Not(operand=operand):
                self._make_blocks(operand, owner)
            case StepTime(step=step, limit_us=limit_us):
                self._make_step_time(step, limit_us)
            case TimerCall() | EdgeCall():
                self._make_blocks(expression.operand, owner)
                self._make_block(expression, owner)

    def _make_step_time(self, step: str, limit_us: int) -> None:
        name = f"{step}.T reaches its limit @{limit_us}"
        if name not in self.lengths_us:
            chart, _, short = step.partition(".")
            self.step_timers[chart, short].append(self._new_timer(f"{step}.T reaches its limit", limit_us))

    def _make_block(self, call: TimerCall | EdgeCall, owner: str) -> None:
        text = to_text(call)
        match call:
            case TimerCall(preset_us=preset_us):
                state = self._new_timer(text, preset_us)
            case EdgeCall():
                state = self._new(f"{text} sample", False)
        output = self._new(text, False)
        self.blocks.setdefault(owner, []).append(Block(call, state, output))
        self._outputs_of_blocks[id(call)] = output

    def _start_initial_steps(self) -> None:
        for chart in self.sequence.charts:
            stored = [part.timer for part in self._timed(chart.name, chart.initial.name, SET_OFF) if part.timer]
            for timer in (*self.timers_on_entry(chart.name, chart.initial.name), *stored):
                self.initial[timer] = RUNNING

    def _timed(self, chart: str, step: str, qualifiers: tuple[str, ...]) -> list[StepAction]:
        mine = [part for part in self.actions if (part.chart, part.step) == (chart, step)]
        return [part for part in mine if part.action.qualifier in qualifiers]

    def timers_on_entry(self, chart: str, step: str) -> list[str]:
        """Timers that start when a step is entered."""
        timed = [part.timer for part in self._timed(chart, step, ON_LEAVING) if part.timer is not None]
        return [*self.step_timers[chart, step], *timed]

    def output_of(self, call: TimerCall | EdgeCall) -> str:
        """The cell with the output of a timer or edge."""
        return self._outputs_of_blocks[id(call)]
