"""One scan of a controller, interpreted straight from the `Sequence`: charts, qualifiers, timers, edges, alarms.

Written from design.md section 3 and the docstrings of `language/sequence.py`, for comparison with the kernel's
controller, of which it calls nothing. Memory is a tuple of values in the order of `TickController.names`: a step's name, the
state of a timer (idle, running, expired, held), or a truth.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

from reference.tick_condition import holds

from seqcheck.language.expression import (
    And,
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


class Scanned(NamedTuple):
    """What one scan does: memory, outputs computed, steps entered, timers started anew."""

    memory: Memory
    computed: frozenset[str]
    entered: tuple[str, ...]
    started: frozenset[str]


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
class TickController:
    """The controller of a sequence. Mutable only while it is made, but for what it remembers of scans done before."""

    sequence: Sequence
    initial: dict[str, Value] = field(default_factory=dict)
    lengths_us: dict[str, int] = field(default_factory=dict)
    step_timers: dict[tuple[str, str], list[str]] = field(default_factory=dict)
    actions: list[StepAction] = field(default_factory=list)
    blocks: dict[str, list[Block]] = field(default_factory=dict)
    _outputs_of_blocks: dict[int, str] = field(default_factory=dict)
    _uses: Counter[str] = field(default_factory=Counter)
    _known: dict[tuple[Memory, frozenset[str], frozenset[str]], Scanned] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the cells."""
        for chart in self.sequence.charts:
            self.initial[chart.name] = chart.initial.name
        for kept in (*self.sequence.flags, *self.sequence.alarms):
            self.initial[kept.name] = False
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
        if isinstance(call, TimerCall):
            state = self._new_timer(text, call.preset_us)
        else:
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

    # -- one scan ----------------------------------------------------------------------------------------------

    def scan(self, memory: Memory, seen: frozenset[str], written: frozenset[str]) -> Scanned:
        """Read, compute: one run with the inputs in `seen` on and the outputs in `written` on."""
        identity = (memory, seen, written)
        if identity not in self._known:
            self._known[identity] = _Run(self, dict(zip(self.names, memory, strict=True)), seen, written).result()
        return self._known[identity]

    def output_of(self, call: TimerCall | EdgeCall) -> str:
        """The cell with the output of a timer or edge."""
        return self._outputs_of_blocks[id(call)]


class _Run:
    """One scan; gone after `result`."""

    def __init__(
        self, controller: TickController, cells: dict[str, Value], seen: frozenset[str], written: frozenset[str]
    ) -> None:
        self.controller = controller
        self.sequence = controller.sequence
        self.before = dict(cells)
        self.cells = cells
        self.seen = seen
        self.written = written
        self.entered: list[str] = []
        self.started: set[str] = set()

    def result(self) -> Scanned:
        for chart in self.sequence.charts:
            self._run_blocks(chart.name)
            self._run_chart(chart)
        self._run_blocks("")
        computed = self._drive_all()
        return Scanned(tuple(self.cells.values()), computed, tuple(self.entered), frozenset(self.started))

    # -- conditions

    def _holds(self, expression: Expression) -> bool:
        return holds(expression, self._leaf)

    def _leaf(self, expression: Expression) -> bool:
        match expression:
            case Name(text=text):
                return self._name(text)
            case StepTime(step=step, at_least=at_least, limit_us=limit_us):
                is_over = self.cells[f"{step}.T reaches its limit @{limit_us}"] == EXPIRED
                chart, _, short = step.partition(".")
                return is_over if at_least else self.cells[chart] == short and not is_over
            case TimerCall() | EdgeCall():
                return bool(self.cells[self.controller.output_of(expression)])
        raise AssertionError(expression)

    def _name(self, text: str) -> bool:
        """Steps as of now, outputs as last written, flags and alarms as of the last read."""
        owner, _, last = text.rpartition(".")
        chart, _, step = owner.partition(".")
        if last == "X" and owner:
            return self.cells[chart] == step
        if last == "late" and owner:
            return self.cells[self.controller.step_timers[chart, step][0]] == EXPIRED
        if text in self.before:
            return bool(self.before[text])
        return text in self.seen or text in self.written

    # -- timers and edges

    def _run_blocks(self, owner: str) -> None:
        for call, state, output in self.controller.blocks.get(owner, []):
            value = self._holds(call.operand)
            if isinstance(call, EdgeCall):
                was = bool(self.cells[state])
                self.cells[output] = (value and not was) if call.kind == "RISING" else (was and not value)
                self.cells[state] = value
            else:
                self.cells[output] = {"TON": self._on_delay, "TOF": self._off_delay, "TP": self._pulse}[call.kind](
                    state, value
                )

    def _start(self, timer: str) -> None:
        self.cells[timer] = RUNNING
        self.started.add(timer)

    def _on_delay(self, timer: str, value: bool) -> bool:
        if not value:
            self.cells[timer] = IDLE
        elif self.cells[timer] == IDLE:
            self._start(timer)
        return self.cells[timer] == EXPIRED

    def _off_delay(self, timer: str, value: bool) -> bool:
        if value:
            self.cells[timer] = HELD
        elif self.cells[timer] == HELD:
            self._start(timer)
        elif self.cells[timer] == EXPIRED:
            self.cells[timer] = IDLE
        return self.cells[timer] != IDLE

    def _pulse(self, timer: str, value: bool) -> bool:
        if self.cells[timer] == IDLE and value:
            self._start(timer)
        elif self.cells[timer] in (EXPIRED, HELD):
            self.cells[timer] = HELD if value else IDLE
        return self.cells[timer] == RUNNING

    # -- steps

    def _run_chart(self, chart: Chart) -> None:
        source = next(step for step in chart.steps if step.name == self.cells[chart.name])
        for transition in chart.transitions_of(source):
            if self._holds(transition.condition):
                self._leave(chart, source)
                self._enter(chart, transition.target)
                return

    def _leave(self, chart: Chart, step: Step) -> None:
        for timer in self.controller.step_timers[chart.name, step.name]:
            self.cells[timer] = IDLE
        for part in self.controller.actions:
            if (part.chart, part.step) == (chart.name, step.name) and part.action.qualifier in ON_LEAVING:
                assert part.timer is not None
                self.cells[part.timer] = IDLE

    def _enter(self, chart: Chart, step: str) -> None:
        self.cells[chart.name] = step
        self.entered.append(f"{chart.name}.{step}")
        for timer in self.controller.timers_on_entry(chart.name, step):
            self._start(timer)

    # -- actions

    def _drive_all(self) -> frozenset[str]:
        variables = dict.fromkeys(part.action.variable for part in self.controller.actions)
        on = {name for name in variables if self._drives(name)} | self._raised()
        after: dict[str, Value] = {flag.name: flag.name in on for flag in self.sequence.flags}
        for alarm in self.sequence.alarms:
            stays = bool(self.before[alarm.name]) and not self._holds(alarm.clear)
            after[alarm.name] = alarm.name in on or stays
        self.cells.update(after)
        return frozenset(on - after.keys())

    def _raised(self) -> set[str]:
        """Alarms of watchdogs that this scan sees expired, also if it leaves the step."""
        return {
            step.watchdog.alarm
            for chart in self.sequence.charts
            for step in chart.steps
            if step.watchdog is not None
            and self.before[self.controller.step_timers[chart.name, step.name][0]] == EXPIRED
        }

    def _drives(self, variable: str) -> bool:
        mine = [part for part in self.controller.actions if part.action.variable == variable]
        if any(part.action.qualifier == "R" and self._is_active(part) for part in mine):
            self.cells[f"{variable} stored"] = False
            for part in mine:
                if part.timer is not None and part.action.qualifier in ON_RESET:
                    self.cells[part.timer] = IDLE
            return False
        on = [self._is_on(part) for part in mine]  # every one, since each stores what it has to store
        return any(on)

    def _is_active(self, part: StepAction) -> bool:
        return self.cells[part.chart] == part.step

    def _set_off(self, part: StepAction) -> None:
        assert part.timer is not None
        if self.cells[part.timer] == IDLE:
            self._start(part.timer)

    def _is_on(self, part: StepAction) -> bool:
        if part.action.qualifier in SET_OFF and self._is_active(part):
            self._set_off(part)
        timer = self.cells[part.timer] if part.timer is not None else IDLE
        active, stored = self._is_active(part), f"{part.action.variable} stored"
        match part.action.qualifier:
            case "N":
                return active
            case "P":
                return active and f"{part.chart}.{part.step}" in self.entered
            case "L":
                return active and timer != EXPIRED
            case "D":
                return active and timer == EXPIRED
            case "SL":
                return timer == RUNNING
            case "S" | "SD" | "DS":
                is_due = active if part.action.qualifier == "S" else timer == EXPIRED
                self.cells[stored] = is_due or bool(self.cells[stored])
                return bool(self.cells[stored])
        return False  # R, in a step that is not active
