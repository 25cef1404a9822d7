"""One chart as a function block: timers of its steps, at most one transition, then what the active step does.

The block says what its chart wants of an output, a flag or an alarm; the program joins the wants of all charts
(see export_storage.py). What it looks at comes in as inputs, so that every dependency between charts stands in the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.language.sequence import Action, Chart, CommonTransitions, Step, Transition
from seqcheck.plc.chart_names import ACTIVE_STEP, ChartNames, StoredAction
from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.export_condition import Blocks, Names, timer_call
from seqcheck.plc.identifier import identifier
from seqcheck.plc.program import Section, Unit, Variable
from seqcheck.plc.statement import (
    Argument,
    Assignment,
    Branch,
    Call,
    Case,
    CaseBranch,
    If,
    Remark,
    Return,
    Statement,
)
from seqcheck.plc.step_timer import LATE, StepTimer
from seqcheck.plc.value import Comparison, Negation, Truth, Value, both, either, variable

PROMPT = "prompt: "
"""Begins the comment that says what the operator is asked to do in a step."""


@dataclass(slots=True)
class ChartExport:
    """Makes the function block of one chart. Mutable while it does."""

    charts: ControllerCharts
    chart: Chart
    own: ChartNames
    others: dict[str, ChartNames]
    inputs: dict[str, tuple[Variable, Value]] = field(default_factory=dict)
    blocks: Blocks = field(init=False)

    def __post_init__(self) -> None:
        """Conditions are looked up here."""
        self.blocks = Blocks(Names(self._named, self._reached), self.own.identifiers)

    def unit(self) -> Unit:
        """The function block."""
        moving = self._moving()  # first: it finds out which inputs and blocks there are
        body = (*self._timing(), *self._blocks(), *moving, *self._restarts(), *self._actions())
        return Unit(
            keyword="FUNCTION_BLOCK",
            name=self.own.type_name,
            comment=f"chart {self.chart.name}",
            sections=tuple(part for part in self._sections() if part.variables),
            body=body,
        )

    def call(self) -> Call:
        """The call of the block in the program, after `unit`."""
        first = [Argument(name="only_timers", value=Truth(False))] if self.own.is_asked_early else []
        rest = [Argument(name=part.name, value=value) for part, value in self._ordered_inputs()]
        return Call(self.own.instance, (*first, *rest))

    # ---- declarations

    def _sections(self) -> Iterator[Section]:
        early = Variable(name="only_timers", type_name="BOOL", comment="a chart above looks at timers of this one")
        inputs = [part for part, _ in self._ordered_inputs()]
        yield Section(
            keyword="VAR_INPUT", variables=tuple([early, *inputs] if self.own.is_asked_early else inputs)
        )
        yield Section(keyword="VAR_OUTPUT", variables=tuple(self._outputs()))
        yield Section(keyword="VAR", variables=tuple(self._timers()), comment="Timers of steps")
        yield Section(
            keyword="VAR", variables=tuple(self.blocks.variables), comment="Timers and edges in conditions"
        )

    def _ordered_inputs(self) -> list[tuple[Variable, Value]]:
        """Inputs, then what charts drive, in the order of the file; then what comes from other charts."""
        names = [*(part.name for part in self.charts.inputs), *self.charts.driven]
        known = [self.inputs[name] for name in names if name in self.inputs]
        return known + [part for name, part in sorted(self.inputs.items()) if name not in names]

    def _outputs(self) -> Iterator[Variable]:
        initial = self.own.enumerator(self.chart.initial.name)
        yield Variable(name=ACTIVE_STEP, type_name=self.own.steps_type, initial=initial, comment="the active step")
        yield Variable(name="moved", type_name="BOOL", comment="a transition was taken in this scan")
        yield from self.own.wants()
        for timer, name in self.own.shown_timers.items():
            yield Variable(name=name, type_name="BOOL", comment=f"{timer.step}: {timer.purpose}, for other charts")

    def _timers(self) -> Iterator[Variable]:
        for timer, name in self.own.timers.items():
            yield Variable(name=name, type_name="TON", comment=_timer_words(timer))

    # ---- names in conditions

    def _named(self, text: str) -> Value:
        owner, _, rest = text.partition(".")
        if not rest:
            return self._input(text, self.own.input_name(text), "BOOL", variable(self.own.shared[text]))
        step, _, flag = rest.partition(".")
        if owner != self.chart.name:
            return self._of_other(self.others[owner], step, flag)
        if flag == "X":
            return self._is_step(step)
        return variable(self.own.timers[self.own.watchdog(step)], "Q")

    def _of_other(self, other: ChartNames, step: str, flag: str) -> Value:
        if flag == "X":
            name = self.own.name_from(f"{other.chart}.step", f"{other.instance}_step")
            active = self._input(f"{other.chart}.step", name, other.steps_type, variable(other.instance, ACTIVE_STEP))
            return Comparison(left=active, sign="=", right=other.enumerator(step))
        return self._timer_of_other(other, other.watchdog(step))

    def _reached(self, step: str, limit_us: int) -> Value:
        owner, _, name = step.partition(".")
        if owner == self.chart.name:
            return variable(self.own.timers[self.own.reached(name, limit_us)], "Q")
        other = self.others[owner]
        return self._timer_of_other(other, other.reached(name, limit_us))

    def _timer_of_other(self, other: ChartNames, timer: StepTimer) -> Value:
        shown = other.shown_timers[timer]
        key = f"{other.chart}.{shown}"
        name = self.own.name_from(key, f"{other.instance}_{shown}")
        return self._input(key, name, "BOOL", variable(other.instance, shown))

    def _input(self, key: str, name: str, type_name: str, given: Value) -> Value:
        if key not in self.inputs:
            comment = self.own.comments.get(key, "")
            self.inputs[key] = (Variable(name=name, type_name=type_name, comment=comment), given)
        return variable(self.inputs[key][0].name)

    def _is_step(self, step: str) -> Value:
        return Comparison(left=variable(ACTIVE_STEP), sign="=", right=self.own.enumerator(step))

    # ---- timers

    def _timing(self) -> Iterator[Statement]:
        if self.own.timers:
            yield Remark("Timers of steps, as they stand before any transition")
        yield from (self._timer(timer) for timer in self.own.timers)
        yield from self._shown()
        for alarm, name in self.own.raised.items():
            yield Assignment(variable(name), either(*self._late(alarm)))
        if self.own.is_asked_early:
            yield If((Branch(variable("only_timers"), (Return(),)),))

    def _timer(self, timer: StepTimer) -> Statement:
        return timer_call(self.own.timers[timer], self._is_step(timer.step), timer.us)

    def _shown(self) -> Iterator[Statement]:
        for timer, name in self.own.shown_timers.items():
            yield Assignment(variable(name), variable(self.own.timers[timer], "Q"))

    def _late(self, alarm: str) -> Iterator[Value]:
        for step in self.chart.steps:
            if step.watchdog is not None and step.watchdog.alarm == alarm:
                yield variable(self.own.timers[self.own.watchdog(step.name)], "Q")

    def _restarts(self) -> Iterator[Statement]:
        """A step that is entered starts its timers anew, also if it was active before."""
        if not self.own.timers:
            return
        calls: list[Statement] = []
        for timer, name in self.own.timers.items():
            calls += [timer_call(name, Truth(False), timer.us), self._timer(timer)]
        yield If((Branch(variable("moved"), (*calls, *self._shown())),))

    def _blocks(self) -> Iterator[Statement]:
        if self.blocks.calls:
            yield Remark("Timers and edges in conditions: all, whatever step is active")
        yield from self.blocks.calls

    # ---- transitions

    def _moving(self) -> tuple[Statement, ...]:
        common = [self._group(group) for group in self.chart.common if group.transitions]
        arms = tuple(self._ways_of(step) for step in self.chart.steps if step.transitions)
        parts: list[Statement] = [
            Remark("At most one transition: the first whose condition holds"),
            Assignment(variable("moved"), Truth(False)),
            *common,
        ]
        if arms:
            case = Case(selector=variable(ACTIVE_STEP), branches=arms)
            parts.append(If((Branch(Negation(variable("moved")), (case,)),)) if common else case)
        return tuple(parts)

    def _group(self, group: CommonTransitions) -> Statement:
        excepted = [
            Comparison(left=variable(ACTIVE_STEP), sign="<>", right=self.own.enumerator(step))
            for step in group.excepted
        ]
        condition = both(Negation(variable("moved")), *excepted)
        return If((Branch(condition, (self._ways(group.transitions, "any"),)),))

    def _ways_of(self, step: Step) -> CaseBranch:
        return CaseBranch(
            labels=(self.own.enumerator(step.name),), body=(self._ways(step.transitions, step.name),)
        )

    def _ways(self, ways: tuple[Transition, ...], source: str) -> Statement:
        return If(tuple(self._way(way, f"{identifier(source)}_to_{identifier(way.target)}") for way in ways))

    def _way(self, way: Transition, where: str) -> Branch:
        move = (
            Assignment(variable(ACTIVE_STEP), self.own.enumerator(way.target)),
            Assignment(variable("moved"), Truth(True)),
        )
        return Branch(self.blocks.value(way.condition, where), move)

    # ---- actions

    def _actions(self) -> Iterator[Statement]:
        wants = self.own.wants()
        if wants:
            yield Remark("What the active step does")
        raised = set(self.own.raised.values())
        yield from (Assignment(variable(part.name), Truth(False)) for part in wants if part.name not in raised)
        arms = tuple(self._doing(step) for step in self.chart.steps if step.actions or step.prompt)
        if arms:
            yield Case(selector=variable(ACTIVE_STEP), branches=arms)

    def _doing(self, step: Step) -> CaseBranch:
        return CaseBranch(
            labels=(self.own.enumerator(step.name),),
            body=tuple(self._action(step, number, action) for number, action in enumerate(step.actions)),
            comment=f"{PROMPT}{step.prompt}" if step.prompt else "",
        )

    def _action(self, step: Step, number: int, action: Action) -> Statement:
        on = Assignment(variable(self._want(step, number, action)), Truth(True))
        match action.qualifier:
            case "P":
                return If((Branch(variable("moved"), (on,)),))
            case "L":
                return If((Branch(Negation(self._action_timer(step, number)), (on,)),))
            case "D" | "DS":
                return If((Branch(self._action_timer(step, number), (on,)),))
            case _:
                return on

    def _want(self, step: Step, number: int, action: Action) -> str:
        match action.qualifier:
            case "S":
                return self.own.set_names[action.variable]
            case "R":
                return self.own.reset_names[action.variable]
            case "SD" | "SL" | "DS":
                return self.own.stored[StoredAction(step.name, number)]
            case _:
                return self.own.driven[action.variable]

    def _action_timer(self, step: Step, number: int) -> Value:
        return variable(self.own.timers[self.own.action_timer(step.name, number)], "Q")


def _timer_words(timer: StepTimer) -> str:
    if timer.purpose == LATE:
        return f"longest stay in {timer.step}"
    if timer.variable:
        return f"{timer.step}: {timer.variable}, qualifier {timer.purpose}"
    return f"time in {timer.step}"
