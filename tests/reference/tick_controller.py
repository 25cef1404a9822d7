"""One scan of a controller, interpreted straight from the `Sequence`: charts, qualifiers, timers, edges, alarms.

Written from design.md section 3, the docstrings of `language/sequence.py` and the qualifiers of IEC 61131-3, for comparison
with the kernel's controller, of which it calls nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from reference.tick_cells import (
    EXPIRED,
    HELD,
    IDLE,
    ON_LEAVING,
    ON_RESET,
    RUNNING,
    SET_OFF,
    Memory,
    StepAction,
    TickCells,
    Value,
)
from reference.tick_condition import holds

from seqcheck.language.expression import EdgeCall, Expression, Name, StepTime, TimerCall
from seqcheck.language.sequence import Chart, Step


class Scanned(NamedTuple):
    """What one scan does: memory, outputs computed, steps entered, timers started anew."""

    memory: Memory
    computed: frozenset[str]
    entered: tuple[str, ...]
    started: frozenset[str]


@dataclass(slots=True)
class TickController(TickCells):
    """The controller of a sequence; it only remembers scans done before."""

    _known: dict[tuple[Memory, frozenset[str], frozenset[str]], Scanned] = field(default_factory=dict)

    def scan(self, memory: Memory, seen: frozenset[str], written: frozenset[str]) -> Scanned:
        """Read, compute: one run with the inputs in `seen` on and the outputs in `written` on."""
        identity = (memory, seen, written)
        if identity not in self._known:
            self._known[identity] = _Run(self, dict(zip(self.names, memory, strict=True)), seen, written).result()
        return self._known[identity]


class _Run:
    """One scan; gone after `result`."""

    def __init__(
        self, controller: TickCells, cells: dict[str, Value], seen: frozenset[str], written: frozenset[str]
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
