"""One chart, read back from the function block that the exporter made of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from seqcheck.errors import Place
from seqcheck.language.expression import Expression, Name, StepTime
from seqcheck.language.sequence import Action, Chart, CommonTransitions, Step, Transition, Watchdog
from seqcheck.plc.chart_names import ACTIVE_STEP
from seqcheck.plc.export_chart import PROMPT
from seqcheck.plc.import_unit import ConditionReading, TimerUse, UnitParts, statements_in, step_of
from seqcheck.plc.program import Program
from seqcheck.plc.statement import Assignment, Branch, Case, CaseBranch, If, Statement
from seqcheck.plc.types_of_text import failure
from seqcheck.plc.value import (
    Chain,
    Comparison,
    Enumerator,
    Negation,
    Reference,
    Value,
    references_in,
    variable,
)

_RAISE = "raise_"


class Surroundings(Protocol):
    """What a chart asks the rest of the text for."""

    program: Program
    main: UnitParts

    def driven(self) -> set[str]:
        """Names of outputs, flags and alarms."""

    def shown(self, instance: str, output: str, place: Place) -> Expression:
        """What an output of another chart's block means."""

    def stored_us(self, name: str) -> int | None:
        """The time of a timer of the program, or None."""


@dataclass(frozen=True, slots=True)
class ChartReading:
    """Reads the chart in one function block; `name` is that of its instance in the program."""

    name: str
    parts: UnitParts
    around: Surroundings

    def chart(self) -> Chart:
        """The chart.

        Raises SequenceFileError with the place of what is not understood.
        """
        cases = [part for part in statements_in(self.parts.unit.body) if isinstance(part, Case)]
        moving = [case for case in cases if self._moves(case)]
        doing = [case for case in cases if not self._moves(case)]
        ways = {name: branch for case in moving for name, branch in self._branches(case)}
        acts = {name: branch for case in doing for name, branch in self._branches(case)}
        watchdogs = dict(self._watchdogs())
        steps = tuple(
            self._step(name, ways.get(name), acts.get(name), watchdogs.get(name)) for name in self._step_names()
        )
        return Chart(name=self.name, place=self.parts.unit.place, steps=steps, common=tuple(self._common()))

    def timer_shown(self, output: str, place: Place) -> Expression:
        """What an output that shows a timer means."""
        made = self.parts.assigned.get(output)
        if made is not None and isinstance(made.value, Reference):
            found = self.time_in_step(made.value)
            if found is not None:
                return found
        raise failure(place, f"an output of {self.name} that shows a timer of a step", repr(output))

    def time_in_step(self, value: Reference) -> Expression | None:
        """What `timer.Q` of a step timer means: a late step, or a time that is reached."""
        if value.path[1:] != ("Q",):
            return None
        timer = self.parts.timer(value.path[0])
        step = None if timer is None else step_of(timer.value, variable(ACTIVE_STEP))
        if timer is None or step is None:
            return None
        if value.path[0] in self._raising():
            return Name(value.place, f"{self.name}.{step}.late")
        return StepTime(value.place, f"{self.name}.{step}", at_least=True, limit_us=timer.us)

    def _moves(self, case: Case) -> bool:
        targets = [part.target for part in statements_in((case,)) if isinstance(part, Assignment)]
        return variable(ACTIVE_STEP) in targets

    def _step_names(self) -> tuple[str, ...]:
        found = next(
            (part for part in self.around.program.enumerations if part.name == self.parts.type_of(ACTIVE_STEP)),
            None,
        )
        if found is None:
            raise failure(self.parts.unit.place, f"an enumeration as type of {ACTIVE_STEP}", "none")
        return tuple(found.values)

    @staticmethod
    def _branches(case: Case) -> Iterator[tuple[str, CaseBranch]]:
        for branch in case.branches:
            for label in branch.labels:
                if not isinstance(label, Enumerator):
                    raise failure(label.place, "a step", "another value")
                yield label.name, branch

    def _raising(self) -> dict[str, str]:
        """Alarms by the timers that raise them."""
        return {
            reference.path[0]: target.removeprefix(_RAISE)
            for target, made in self.parts.assigned.items()
            if target.startswith(_RAISE)
            for reference in references_in(made.value)
        }

    def _watchdogs(self) -> Iterator[tuple[str, Watchdog]]:
        for timer_name, alarm in self._raising().items():
            timer = self.parts.timer(timer_name)
            step = None if timer is None else step_of(timer.value, variable(ACTIVE_STEP))
            if timer is not None and step is not None:
                place = self.parts.calls[timer_name].place
                yield step, Watchdog(limit_us=timer.us, alarm=alarm, place=place)

    def _step(
        self, name: str, ways: CaseBranch | None, acts: CaseBranch | None, watchdog: Watchdog | None
    ) -> Step:
        initial = self.parts.unit.variable(ACTIVE_STEP)
        first = initial.initial if initial is not None else None
        comment = acts.comment if acts is not None else ""
        place = next((part.place for part in (ways, acts) if part is not None), self.parts.unit.place)
        return Step(
            name=name,
            place=place,
            initial=isinstance(first, Enumerator) and first.name == name,
            actions=tuple(self._action(name, part) for part in (acts.body if acts else ())),
            watchdog=watchdog,
            transitions=tuple(self._ways(ways.body)) if ways else (),
            prompt=comment.removeprefix(PROMPT) if comment.startswith(PROMPT) else None,
        )

    # ---- transitions

    def _common(self) -> Iterator[CommonTransitions]:
        for part in self.parts.unit.body:
            match part:
                case If((Branch(Negation(Reference(("moved",))), (If() as inner,)),)):
                    yield CommonTransitions(excepted=(), transitions=tuple(self._ways((inner,))), place=part.place)
                case If((Branch(Chain("AND", (Negation(Reference(("moved",))), *excepted)), (If() as inner,)),)):
                    yield CommonTransitions(
                        excepted=tuple(self._excepted(value) for value in excepted),
                        transitions=tuple(self._ways((inner,))),
                        place=part.place,
                    )

    @staticmethod
    def _excepted(value: Value) -> str:
        match value:
            case Comparison(left=Reference(("active_step",)), sign="<>", right=Enumerator(name=name)):
                return name
        raise failure(value.place, f"'{ACTIVE_STEP} <> step'", "another condition")

    def _ways(self, body: tuple[Statement, ...]) -> Iterator[Transition]:
        for part in body:
            if not isinstance(part, If) or part.otherwise:
                raise failure(part.place, "IF with the conditions of transitions", "another statement")  # type: ignore[union-attr]
            for branch in part.branches:
                yield self._way(branch)

    def _way(self, branch: Branch) -> Transition:
        match branch.body:
            case (Assignment(Reference(("active_step",)), Enumerator(name=target)), Assignment(Reference(("moved",)))):
                condition = _ChartCondition(self.parts, self).condition(branch.condition)
                return Transition(target=target, condition=condition, place=branch.place)
        raise failure(branch.place, f"'{ACTIVE_STEP} := ...; moved := TRUE;' after the condition", "something else")

    # ---- actions

    def _action(self, step: str, part: Statement) -> Action:
        match part:
            case Assignment(target):
                return self._plain(step, target, part.place, None)
            case If((Branch(Reference(("moved",)), (Assignment(target),)),)):
                return Action(variable=target.text, place=part.place, qualifier="P")
            case If((Branch(Negation(Reference((timer, "Q"))), (Assignment(target),)),)):
                return Action(variable=target.text, place=part.place, qualifier="L", time_us=self._us(timer, part.place))
            case If((Branch(Reference((timer, "Q")), (Assignment(target),)),)):
                return self._plain(step, target, part.place, self._us(timer, part.place))
        raise failure(part.place, "what a step does", "another statement")  # type: ignore[union-attr]

    def _us(self, timer: str, place: Place) -> int:
        found: TimerUse | None = self.parts.timer(timer)
        if found is None:
            raise failure(place, "a timer that is called", repr(timer))
        return found.us

    def _plain(self, step: str, target: Reference, place: Place, us: int | None) -> Action:
        """An action by the name of what it writes: the variable itself, `set_`, `reset_` or step, variable and qualifier."""
        name, driven = target.text, self.around.driven()
        if name in driven:
            return Action(variable=name, place=place, qualifier="N" if us is None else "D", time_us=us)
        for prefix, qualifier in (("set_", "S"), ("reset_", "R")):
            if name.startswith(prefix) and name.removeprefix(prefix) in driven:
                return Action(variable=name.removeprefix(prefix), place=place, qualifier=qualifier)
        stored, _, qualifier = name.removeprefix(f"{step}_").rpartition("_")
        if stored not in driven or qualifier not in ("SD", "SL", "DS"):
            raise failure(place, "an output, flag or alarm, or a want of one", repr(name))
        time_us = us if qualifier == "DS" else self.around.stored_us(f"{self.name}_{name}_timer")
        if time_us is None:
            raise failure(place, f"a timer for the action {name}", "none")
        return Action(variable=stored, place=place, qualifier=qualifier, time_us=time_us)


@dataclass(frozen=True, slots=True)
class _ChartCondition(ConditionReading):
    """Conditions in a chart's block: inputs stand for what the program gives them."""

    chart: ChartReading

    def condition(self, value: Value) -> Expression:
        if isinstance(value, Reference):
            found = self.chart.time_in_step(value)
            if found is not None:
                return found
        return ConditionReading.condition(self, value)

    def named(self, value: Reference) -> Expression:
        given = self._given(value)
        if len(given.path) == 2:
            return self.chart.around.shown(given.path[0], given.path[1], value.place)
        return Name(value.place, given.text)

    def compared(self, value: Comparison) -> Expression:
        match value:
            case Comparison(left=Reference(("active_step",)), sign="=", right=Enumerator(name=name)):
                return Name(value.place, f"{self.chart.name}.{name}.X")
            case Comparison(left=Reference() as left, sign="=", right=Enumerator(name=name)):
                return Name(value.place, f"{self._given(left).path[0]}.{name}.X")
        raise failure(value.place, "a step compared with '='", "another comparison")

    def _given(self, value: Reference) -> Reference:
        call = self.chart.around.main.calls.get(self.chart.name)
        arguments = () if call is None else call.arguments
        for argument in arguments:
            if argument.name == value.text and isinstance(argument.value, Reference):
                return argument.value
        raise failure(value.place, f"an input that the program gives to {self.chart.name}", repr(value.text))
