"""Each chart as a state machine of the library `transitions`: an independent run of the controller.

It is built from the sequence, not from the kernel's network, and is fed what each read saw. If its steps or
outputs differ from the kernel's, one of the two is wrong.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.language.expression import Expression
from seqcheck.language.sequence import Chart, Sequence, Transition
from seqcheck.simulate.action_control import ActionControl, ActionState
from seqcheck.simulate.interpreter import Blocks, Inputs, Moment, Stopwatch


class _Model(Protocol):
    """What `transitions` makes of a chart: its step, and the trigger of one scan."""

    state: str

    def scan(self) -> bool:
        """Take the first transition whose condition holds; False if none does."""


class _Steps:
    """The object that `transitions` moves from step to step."""


def _machine_of(chart: Chart, holds: Callable[[Transition], bool]) -> _Model:
    """The chart as a `transitions` machine that asks `holds` about each condition."""
    from transitions import Machine

    model: Any = _Steps()
    machine = Machine(
        model=model,
        states=[step.name for step in chart.steps],
        initial=chart.initial.name,
        auto_transitions=False,
        ignore_invalid_triggers=True,
    )
    machine.add_transition("scan", chart.initial.name, chart.initial.name, conditions=[lambda: False])
    for step in chart.steps:
        for way in chart.transitions_of(step):
            machine.add_transition("scan", step.name, way.target, conditions=[_asking(holds, way)])
    return model  # type: ignore[no-any-return]


def _asking(holds: Callable[[Transition], bool], way: Transition) -> Callable[[], bool]:
    return lambda: holds(way)


@dataclass(slots=True)
class _ChartRun:
    """One chart under way. Mutable; owned by the chart machines."""

    chart: Chart
    blocks: Blocks
    time: Stopwatch = field(default_factory=Stopwatch)
    model: _Model = field(init=False)
    inputs: Inputs | None = None

    def __post_init__(self) -> None:
        """Start in the initial step, whose time runs from power-up."""
        self.model = _machine_of(self.chart, self._holds)
        self.time.start(Moment(0, 0))

    def _holds(self, way: Transition) -> bool:
        assert self.inputs is not None
        return self.blocks.holds(way.condition, self.inputs)

    @property
    def step(self) -> str:
        """The active step as `chart.step`."""
        return f"{self.chart.name}.{self.model.state}"

    def scan(self, inputs: Inputs) -> bool:
        """Run the chart once; whether it entered a step."""
        self.inputs = inputs
        self.blocks.update(inputs)
        if not self.model.scan():
            return False
        inputs.steps[self.chart.name] = self.model.state
        self.time.start(inputs.moment)
        return True


class ChartMachines:
    """All charts of a sequence, their actions and alarms.

    Mutable: it remembers what a controller remembers.
    """

    def __init__(self, sequence: Sequence) -> None:
        """Power up, with the first read still to come."""
        self.sequence = sequence
        self.reads = 0
        self.runs = tuple(_ChartRun(chart, Blocks(_conditions(chart))) for chart in sequence.charts)
        self.clear_blocks = Blocks(tuple(alarm.clear for alarm in sequence.alarms))
        self.controls = _controls(sequence)
        self.kept: frozenset[str] = frozenset()
        self.outputs: frozenset[str] = frozenset()
        for control in self.controls.values():
            control.power_up(self._active())

    @property
    def steps(self) -> dict[str, str]:
        """The active step of each chart."""
        return {run.chart.name: run.model.state for run in self.runs}

    def _active(self) -> frozenset[str]:
        return frozenset(run.step for run in self.runs)

    def read(self, now_us: int, inputs: frozenset[str], written: frozenset[str]) -> None:
        """One read at `now_us` of the inputs that are on, with the outputs that were last written on."""
        self.reads += 1
        seen = Inputs(
            true_names=inputs | written | self.kept,
            steps=self.steps,
            step_times={run.chart.name: run.time for run in self.runs},
            limits_us=_limits_us(self.sequence),
            moment=Moment(now_us, self.reads),
        )
        late = self._late(seen)
        entered = frozenset(run.step for run in self.runs if run.scan(seen))
        self.clear_blocks.update(seen)
        raised = self._driven(entered, seen.moment) | late
        memory = {flag.name for flag in self.sequence.flags} | {alarm.name for alarm in self.sequence.alarms}
        self.outputs = raised - memory
        self.kept = frozenset(raised & memory) | self._standing(seen)

    def _late(self, seen: Inputs) -> frozenset[str]:
        """Alarms of the steps that this read finds late, whether or not it leaves them."""
        return frozenset(
            step.watchdog.alarm
            for run in self.runs
            for step in run.chart.steps
            if step.watchdog is not None
            and seen.is_step_older(f"{run.chart.name}.{step.name}", step.watchdog.limit_us)
        )

    def _driven(self, entered: frozenset[str], moment: Moment) -> frozenset[str]:
        active = self._active()
        return frozenset(
            name for name, control in self.controls.items() if control.value(active, entered, moment)
        )

    def _standing(self, seen: Inputs) -> frozenset[str]:
        """Alarms that stood before and are not cleared."""
        return frozenset(
            alarm.name
            for alarm in self.sequence.alarms
            if alarm.name in self.kept and not self.clear_blocks.holds(alarm.clear, seen)
        )

    def compare(self, network: Network, before: State, after: State, now_us: int) -> str:
        """Run the read that the kernel has just run; in words how the two differ, or empty."""
        inputs = frozenset(network.signals_in(before.seen))
        self.read(now_us, inputs, frozenset(network.outputs_in(before.written)))
        steps = {
            chart.name: chart.step_names[after.memory[chart.number]] for chart in network.controller.charts
        }
        if steps != self.steps:
            return f"the kernel's charts are in {steps}, independent ones in {self.steps}"
        outputs = frozenset(network.outputs_in(after.computed))
        if outputs != self.outputs:
            return f"the kernel computes {sorted(outputs)}, independent charts {sorted(self.outputs)}"
        kept = frozenset(name for name, cell in network.names.cells.items() if after.memory[cell])
        if kept != self.kept:
            return f"the kernel keeps {sorted(kept)} on, independent charts {sorted(self.kept)}"
        return ""


def _conditions(chart: Chart) -> tuple[Expression, ...]:
    """The condition of each transition once.

    A common one stands once in the file, though many steps have it.
    """
    ways = {id(way): way for step in chart.steps for way in chart.transitions_of(step)}
    return tuple(way.condition for way in ways.values())


def _limits_us(sequence: Sequence) -> dict[str, int]:
    return {
        f"{chart.name}.{step.name}": step.watchdog.limit_us
        for chart in sequence.charts
        for step in chart.steps
        if step.watchdog is not None
    }


def _controls(sequence: Sequence) -> dict[str, ActionControl]:
    found: dict[str, list[ActionState]] = {}
    for chart in sequence.charts:
        for step in chart.steps:
            for action in step.actions:
                state = ActionState(f"{chart.name}.{step.name}", action)
                found.setdefault(action.variable, []).append(state)
    return {name: ActionControl(tuple(actions)) for name, actions in found.items()}
