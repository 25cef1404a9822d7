"""From charts, alarms and flags to the controller that the kernel runs."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.action import ActionBlock
from seqcheck.kernel.chart import ChartBlock, StepBlock, TransitionBlock
from seqcheck.kernel.condition import Test, compile_condition
from seqcheck.kernel.controller import Controller, Variable, WatchdogBlock
from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_RUNNING, MemoryLayout, TimerCell
from seqcheck.kernel.names import NameTable
from seqcheck.kernel.timer import Block, EdgeBlock, ReadTest, TimerBlock
from seqcheck.language.expression import EdgeCall, Expression, Name, StepTime, TimerCall, to_text
from seqcheck.language.sequence import Action, Chart, Sequence, Step

STORED = ("S", "SD", "DS")


@dataclass(slots=True)
class ControllerBuilder:
    """Builds one controller; owns the layout while it does."""

    sequence: Sequence
    names: NameTable
    layout: MemoryLayout
    step_times: dict[tuple[str, int], TimerCell] = field(default_factory=dict)
    step_timers: dict[tuple[int, int], list[TimerCell]] = field(default_factory=dict)
    blocks: list[Block] = field(default_factory=list)
    watchdogs: list[WatchdogBlock] = field(default_factory=list)
    variable_index: dict[str, int] = field(default_factory=dict)
    latches: dict[str, int] = field(default_factory=dict)

    def build(self) -> Controller:
        """The controller; the name table is complete for controller names afterwards."""
        self._name_steps()
        self._name_variables()
        self._make_watchdogs()
        conditions = [self._chart_conditions(chart) for chart in self.sequence.charts]
        actions = [self._chart_actions(index, chart) for index, chart in enumerate(self.sequence.charts)]
        clears = {alarm.name: self._condition(alarm.clear) for alarm in self.sequence.alarms}
        clear_blocks = self._take_blocks()
        charts = tuple(
            self._chart(index, chart, *conditions[index], actions[index])
            for index, chart in enumerate(self.sequence.charts)
        )
        self._start_initial_steps(charts)
        return Controller(
            charts=charts,
            variables=self._variables(charts, clears),
            watchdogs=tuple(self.watchdogs),
            clear_blocks=clear_blocks,
            timers=tuple(self.layout.timers),
            initial_memory=tuple(self.layout.initial),
            cell_labels=tuple(self.layout.labels),
            retained_steps=self._retained_steps(),
            retained_flags=tuple(
                (flag.name, self._flag_cells(flag.name)) for flag in self.sequence.flags if flag.retained
            ),
        )

    def _retained_steps(self) -> tuple[tuple[int, ...], ...]:
        """Where the file says of no step or flag that it is retained, every step may be."""
        charts = self.sequence.charts
        says = any(step.retained for chart in charts for step in chart.steps) or any(
            flag.retained for flag in self.sequence.flags
        )
        return tuple(
            tuple(number for number, step in enumerate(chart.steps) if step.retained or step.initial or not says)
            for chart in charts
        )

    def _flag_cells(self, name: str) -> tuple[int, ...]:
        """The flag, and what an action with S has stored for it, without which the next run would take it back."""
        return (self.names.cells[name], *((self.latches[name],) if name in self.latches else ()))

    def _start_initial_steps(self, charts: tuple[ChartBlock, ...]) -> None:
        for chart in charts:
            step = chart.steps[self.layout.initial[chart.number]]
            timed = [action.timer for action in step.actions if action.timer is not None]
            for timer in (*step.timers, *timed):
                self.layout.initial[timer.cell] = TIMER_RUNNING

    def _name_steps(self) -> None:
        for index, chart in enumerate(self.sequence.charts):
            steps = [step.name for step in chart.steps]
            self.layout.cell(chart.name, steps.index(chart.initial.name))
            for number, name in enumerate(steps):
                self.names.steps[f"{chart.name}.{name}.X"] = (index, number)

    def _name_variables(self) -> None:
        kept = [flag.name for flag in self.sequence.flags] + [alarm.name for alarm in self.sequence.alarms]
        for name in kept:
            self.names.cells[name] = self.layout.cell(name)
        for name in (*self.names.outputs, *self.names.cells):
            self.variable_index[name] = len(self.variable_index)

    def _make_watchdogs(self) -> None:
        for index, chart in enumerate(self.sequence.charts):
            for number, step in enumerate(chart.steps):
                if step.watchdog is None:
                    continue
                timer = self.layout.timer(step.watchdog.limit_us, f"{chart.name}.{step.name} watchdog")
                self.names.watchdogs[f"{chart.name}.{step.name}.late"] = timer.cell
                self._timers_of(index, number).append(timer)
                self.watchdogs.append(WatchdogBlock(timer, self.variable_index[step.watchdog.alarm]))

    def _timers_of(self, chart: int, step: int) -> list[TimerCell]:
        return self.step_timers.setdefault((chart, step), [])

    def _chart_conditions(self, chart: Chart) -> tuple[list[list[TransitionBlock]], tuple[Block, ...]]:
        numbers = {step.name: number for number, step in enumerate(chart.steps)}
        compiled: dict[int, ReadTest] = {}
        ways: list[list[TransitionBlock]] = []
        for step in chart.steps:
            ways.append([])
            for transition in chart.transitions_of(step):
                # A common transition stands once in the file, so its timers and edges exist once.
                if id(transition) not in compiled:
                    compiled[id(transition)] = self._condition(transition.condition)
                ways[-1].append(TransitionBlock(compiled[id(transition)], numbers[transition.target]))
        return ways, self._take_blocks()

    def _take_blocks(self) -> tuple[Block, ...]:
        taken, self.blocks = tuple(self.blocks), []
        return taken

    def _chart_actions(self, chart_index: int, chart: Chart) -> list[tuple[ActionBlock, ...]]:
        return [
            tuple(self._action(chart_index, number, chart, step, action) for action in step.actions)
            for number, step in enumerate(chart.steps)
        ]

    def _action(self, chart: int, number: int, owner: Chart, step: Step, action: Action) -> ActionBlock:
        timer = None
        if action.time_us is not None:
            timer = self.layout.timer(
                action.time_us, f"{owner.name}.{step.name} {action.variable} {action.qualifier}"
            )
        latch = self._latch(action.variable) if action.qualifier in (*STORED, "R") else None
        return ActionBlock(
            chart, number, self.variable_index[action.variable], action.qualifier, timer, latch
        )

    def _latch(self, variable: str) -> int:
        if variable not in self.latches:
            self.latches[variable] = self.layout.cell(f"{variable} stored")
        return self.latches[variable]

    def _chart(
        self,
        index: int,
        chart: Chart,
        ways: list[list[TransitionBlock]],
        blocks: tuple[Block, ...],
        actions: list[tuple[ActionBlock, ...]],
    ) -> ChartBlock:
        steps = tuple(
            StepBlock(tuple(ways[number]), actions[number], tuple(self._timers_of(index, number)))
            for number in range(len(chart.steps))
        )
        return ChartBlock(index, chart.name, tuple(step.name for step in chart.steps), steps, blocks)

    def _variables(self, charts: tuple[ChartBlock, ...], clears: dict[str, ReadTest]) -> tuple[Variable, ...]:
        actions = [action for chart in charts for step in chart.steps for action in step.actions]
        return tuple(
            Variable(
                name=name,
                output_bit=1 << self.names.outputs[name] if name in self.names.outputs else 0,
                cell=self.names.cells.get(name),
                clear=clears.get(name),
                actions=tuple(action for action in actions if action.variable == index),
                latch_cell=self.latches.get(name),
            )
            for name, index in self.variable_index.items()
        )

    def _condition(self, expression: Expression) -> ReadTest:
        # A Reading offers what conditions of a chart look at, so the compiled test takes it as its view.
        return compile_condition(expression, self._resolve)  # type: ignore[return-value]

    def _resolve(self, expression: Expression) -> Test:
        return self._read_test(expression)  # type: ignore[return-value]

    def _read_test(self, expression: Expression) -> ReadTest:
        match expression:
            case Name(text=text):
                return self.names.controller_test(text)
            case StepTime(step=step, at_least=at_least, limit_us=limit_us):
                return self._step_time(step, at_least, limit_us)
            case TimerCall(kind=kind, operand=operand, preset_us=preset_us):
                operand_test = self._condition(operand)
                timer = self.layout.timer(preset_us, to_text(expression))
                return self._block(TimerBlock(kind, operand_test, timer, self.layout.cell(to_text(expression))))
            case EdgeCall(kind=kind, operand=operand):
                operand_test = self._condition(operand)
                label = to_text(expression)
                return self._block(
                    EdgeBlock(kind, operand_test, self.layout.cell(f"{label} sample"), self.layout.cell(label))
                )
        raise AssertionError(f"reader let {expression} pass")

    def _block(self, block: Block) -> ReadTest:
        self.blocks.append(block)
        cell = block.output_cell
        return lambda reading: reading.memory[cell] != 0

    def _step_time(self, step: str, at_least: bool, limit_us: int) -> ReadTest:
        key = (step, limit_us)
        chart, number = self.names.steps[f"{step}.X"]
        if key not in self.step_times:
            timer = self.layout.timer(limit_us, f"{step}.T reaches its limit")
            self.step_times[key] = timer
            self._timers_of(chart, number).append(timer)
        cell = self.step_times[key].cell
        if at_least:
            return lambda reading: reading.memory[cell] == TIMER_EXPIRED
        return lambda reading: reading.memory[chart] == number and reading.memory[cell] != TIMER_EXPIRED
