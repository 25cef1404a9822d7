"""Charts written by hand: a unit with one CASE on its step, in the form that most people use.

    start_edge(CLK := start);
    late(IN := step = 10, PT := T#2s);
    valve := FALSE;
    CASE step OF
      0: (* idle *)
        IF start_edge.Q AND home THEN step := 10; END_IF;
      10:
        valve := TRUE;
        IF late.Q THEN step := 0; ELSIF out THEN step := 20; END_IF;
    END_CASE;
    lamp := step = 20;

An output that is set FALSE above the CASE is on in the steps that set it (N). One that is not is stored by `:= TRUE` (S) and reset
by `:= FALSE` (R). Every statement must be one of these; any other is a problem with its place.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.expression import Expression, Name, Not, StepTime
from seqcheck.language.sequence import Action, Chart, Flag, Step, Transition
from seqcheck.plc.controller_charts import ControllerCharts, Terminal
from seqcheck.plc.identifier import identifier
from seqcheck.plc.import_unit import TIMERS, ConditionReading, UnitParts, references_of
from seqcheck.plc.program import Program, Unit
from seqcheck.plc.statement import Assignment, Call, Case, CaseBranch, If, Statement
from seqcheck.plc.types_of_text import failure
from seqcheck.plc.value import Chain, Comparison, Enumerator, Reference, Truth, Value, Whole

LATER = (
    "in the text, what a step does in its CASE, and its time, begin in the scan after the one that enters the step; "
    "in a chart they begin in the same scan."
)

_ABOVE = "above the CASE a default 'name := FALSE' or one call of a timer or R_TRIG"
_BELOW = "below the CASE 'name := step = ... OR step = ...', the only assignment to that name"


def import_case(program: Program, file: str) -> tuple[ControllerCharts, tuple[str, ...]]:
    """The charts, one for each unit, and what a person must know of them.

    Raises SequenceFileError with every statement that is not understood.
    """
    if not program.units:
        raise failure(Place(file, 1, 1), "a FUNCTION_BLOCK or a PROGRAM", "none")
    readings = [CaseReading(UnitParts(unit), _case_of(unit)) for unit in program.units]
    problems = [problem for reading in readings for problem in reading.problems()]
    if problems:
        raise SequenceFileError(problems)
    charts = ControllerCharts(
        name=program.units[0].name,
        inputs=tuple(
            Terminal(part.name, part.comment) for unit in program.units for part in unit.variables("VAR_INPUT")
        ),
        outputs=tuple(
            Terminal(part.name, part.comment) for unit in program.units for part in unit.variables("VAR_OUTPUT")
        ),
        flags=tuple(flag for reading in readings for flag in reading.flags()),
        alarms=(),
        charts=tuple(reading.chart() for reading in readings),
    )
    return charts, (LATER,)


def _case_of(unit: Unit) -> Case:
    """The CASE on the step; its selector is the variable that names the chart's step."""
    cases = [part for part in unit.body if isinstance(part, Case)]
    if len(cases) != 1 or not isinstance(cases[0].selector, Reference):
        place = cases[1].place if len(cases) > 1 else unit.place
        raise failure(place, "one CASE on a variable with the step", f"{len(cases)} CASE")
    return cases[0]


@dataclass(frozen=True, slots=True)
class CaseReading:
    """Reads the chart in one unit."""

    parts: UnitParts
    case: Case

    def chart(self) -> Chart:
        """The chart."""
        steps = tuple(self._step(arm) for arm in self.case.branches)
        return Chart(name=identifier(self.parts.unit.name), place=self.parts.unit.place, steps=steps)

    def flags(self) -> tuple[Flag, ...]:
        """Variables of the unit that its steps write."""
        written = {part.target.text for part in self._assignments()}
        inner = [part for part in self.parts.unit.variables("VAR") if part.name in written]
        return tuple(Flag(name=part.name, place=part.place) for part in inner if part.name != self.variable)

    @property
    def variable(self) -> str:
        """The variable that holds the step."""
        assert isinstance(self.case.selector, Reference), "looked at before"
        return self.case.selector.text

    def problems(self) -> Iterator[Problem]:
        """What is not understood, each with its place."""
        for part in (self._around, self._inside, self._spelled_otherwise, self._begun_otherwise):
            yield from part()

    def step_named(self, label: Value) -> str:
        """What a step is called: by its enumerator or constant, or `step_10`."""
        match label:
            case Enumerator(name=name):
                return identifier(name)
            case Reference() if len(label.path) == 1:
                return identifier(label.text)
            case Whole(number):
                return self._number_named(number)
        raise failure(label.place, "a step", "another value")

    def _number_named(self, number: int) -> str:
        for section in self.parts.unit.sections:
            for part in section.variables:
                if section.is_constant and part.initial == Whole(number) and self._labels_by_name(part.name):
                    return identifier(part.name)
        return f"step_{number}" if number >= 0 else f"step_minus_{-number}"

    def _labels_by_name(self, name: str) -> bool:
        return any(label == Reference((name,)) for arm in self.case.branches for label in arm.labels)

    # ---- what stands around the CASE

    def _around(self) -> Iterator[Problem]:
        is_above = True
        for part in self.parts.unit.body:
            if part is self.case:
                is_above = False
            elif not self._is_known(part, is_above):
                yield _problem(part, _ABOVE if is_above else _BELOW)
        if self.case.otherwise:
            yield _problem(self.case.otherwise[0], "nothing in the ELSE of the CASE")

    def _is_known(self, part: Statement, is_above: bool) -> bool:
        match part:
            case Call(instance):
                return is_above and self.parts.type_of(instance).upper() in (*TIMERS, "R_TRIG") and self._once(instance)
            case Assignment(target, Truth(False)) if is_above:
                return target.text != self.variable
            case Assignment(target, value) if not is_above:
                return bool(self.active_in(value)) and self._assigned(target.text) == 1
        return False

    def _once(self, instance: str) -> bool:
        return sum(isinstance(part, Call) and part.instance == instance for part in self.parts.unit.body) == 1

    def _assigned(self, name: str) -> int:
        return sum(part.target.text == name for part in self._assignments())

    def _assignments(self) -> Iterator[Assignment]:
        arms = [part for arm in self.case.branches for part in arm.body]
        for part in (*self.parts.unit.body, *arms):
            if isinstance(part, Assignment):
                yield part

    def active_in(self, value: Value) -> tuple[str, ...]:
        """Steps in `step = a OR step = b`; empty if it is something else."""
        operands = value.operands if isinstance(value, Chain) and value.operator == "OR" else (value,)
        steps = []
        for operand in operands:
            match operand:
                case Comparison(left=Reference() as left, sign="=", right=label) if left.text == self.variable:
                    steps.append(self.step_named(label))
                case _:
                    return ()
        return tuple(steps)

    def defaults(self) -> set[str]:
        """What is set FALSE above the CASE."""
        above = self.parts.unit.body[: self.parts.unit.body.index(self.case)]
        return {part.target.text for part in above if isinstance(part, Assignment)}

    def _spelled_otherwise(self) -> Iterator[Problem]:
        """Names are told apart by their letters here, so each must be spelled as it is declared."""
        declared = {part.name for part in self.parts.unit.variables()}
        for reference in references_of(self.parts.unit.body):
            if reference.path[0] not in declared:
                yield Problem(place=reference.place, expected="a name spelled as declared", found=repr(reference.text))

    def _begun_otherwise(self) -> Iterator[Problem]:
        written = {part.target.text for part in self._assignments()} - {self.variable}
        for part in self.parts.unit.variables():
            if part.name in written and part.initial not in (None, Truth(False)):
                yield Problem(place=part.place, expected="a variable that begins as FALSE", found=repr(part.name))
        if not any(self._is_initial(arm) for arm in self.case.branches):
            found = "none of the CASE"
            yield Problem(place=self.case.place, expected=f"a step as initial value of {self.variable}", found=found)

    # ---- what stands in the CASE

    def _inside(self) -> Iterator[Problem]:
        for arm in self.case.branches:
            if len(arm.labels) != 1:
                yield Problem(place=arm.place, expected="one step before ':'", found=f"{len(arm.labels)}")
            targets = [part.target.text for part in arm.body if isinstance(part, Assignment)]
            if len(targets) != len(set(targets)):
                yield Problem(place=arm.place, expected="each name written once in a step", found="one twice")
            for number, part in enumerate(arm.body):
                yield from self._of_statement(part, is_last=number == len(arm.body) - 1)

    def _of_statement(self, part: Statement, *, is_last: bool) -> Iterator[Problem]:
        match part:
            case Assignment(target, Truth()) if target.text != self.variable:
                return
            case If() if is_last and not part.otherwise:
                for branch in part.branches:
                    yield from self._of_way(branch.body, branch.place)
                    yield from self._of_condition(branch.condition)
            case _:
                yield _problem(part, f"'name := TRUE/FALSE', then one IF with '{self.variable} := ...' last in a step")

    def _of_way(self, body: tuple[Statement, ...], place: Place) -> Iterator[Problem]:
        match body:
            case (Assignment(target, label),) if target.text == self.variable:
                labels = [known for arm in self.case.branches for known in arm.labels]
                if self.step_named(label) not in [self.step_named(known) for known in labels]:
                    yield Problem(place=label.place, expected="a step of the CASE", found=f"'{self.step_named(label)}'")
            case _:
                yield Problem(place=place, expected=f"only '{self.variable} := ...' after a condition", found="something else")

    def _of_condition(self, value: Value) -> Iterator[Problem]:
        try:
            self.condition(value)
        except SequenceFileError as error:
            yield from error.problems

    def condition(self, value: Value) -> Expression:
        """A condition in the words of a sequence file."""
        return _CaseCondition(self.parts, self).condition(value)

    def _step(self, arm: CaseBranch) -> Step:
        name = self.step_named(arm.labels[0])
        ways = [branch for part in arm.body if isinstance(part, If) for branch in part.branches]
        return Step(
            name=name,
            place=arm.place,
            initial=self._is_initial(arm),
            actions=(*self._actions(arm), *self._below(name)),
            transitions=tuple(
                Transition(
                    target=self.step_named(branch.body[0].value),  # type: ignore[union-attr]
                    condition=self.condition(branch.condition),
                    place=branch.place,
                )
                for branch in ways
            ),
        )

    def _is_initial(self, arm: CaseBranch) -> bool:
        declared = self.parts.unit.variable(self.variable)
        initial = declared.initial if declared is not None else None
        if initial is None:
            initial = Whole(0)
        return self.step_named(initial) == self.step_named(arm.labels[0])

    def _actions(self, arm: CaseBranch) -> Iterator[Action]:
        for part in arm.body:
            if isinstance(part, Assignment):
                is_plain = part.target.text in self.defaults()
                is_on = part.value == Truth(True)
                if is_plain and not is_on:
                    continue  # it is off by its default already
                qualifier = "N" if is_plain else "S" if is_on else "R"
                yield Action(variable=part.target.text, place=part.place, qualifier=qualifier)

    def _below(self, step: str) -> Iterator[Action]:
        below = self.parts.unit.body[self.parts.unit.body.index(self.case) + 1 :]
        for part in below:
            if isinstance(part, Assignment) and step in self.active_in(part.value):
                yield Action(variable=part.target.text, place=part.place)


@dataclass(frozen=True, slots=True)
class _CaseCondition(ConditionReading):
    """Conditions in a text written by hand."""

    reading: CaseReading

    def condition(self, value: Value) -> Expression:
        if isinstance(value, Reference) and value.path[1:] == ("Q",):
            timer = self.parts.timer(value.path[0])
            steps = () if timer is None else self.reading.active_in(timer.value)
            if timer is not None and timer.kind.upper() == "TON" and len(steps) == 1:
                step = f"{identifier(self.parts.unit.name)}.{steps[0]}"
                return StepTime(value.place, step, at_least=True, limit_us=timer.us)
        return ConditionReading.condition(self, value)

    def named(self, value: Reference) -> Expression:
        declared = self.parts.unit.variable(value.path[0])
        if len(value.path) > 1 or declared is None or declared.type_name.upper() != "BOOL":
            raise failure(value.place, "an input, an output or a flag", repr(value.text))
        if declared.initial is not None and declared.initial != Truth(False):
            raise failure(value.place, "a variable that begins as FALSE", repr(value.text))
        if value.text in self.reading.defaults():
            raise failure(value.place, "a variable that is not set FALSE above the CASE", repr(value.text))
        return Name(value.place, value.text)

    def compared(self, value: Comparison) -> Expression:
        if isinstance(value.left, Reference) and value.left.text == self.reading.variable:
            step = self.reading.step_named(value.right)
            flag = Name(value.place, f"{identifier(self.parts.unit.name)}.{step}.X")
            if value.sign in ("=", "<>"):
                return flag if value.sign == "=" else Not(value.place, flag)
        raise failure(value.place, "a step compared with '=' or '<>'", "another comparison")


def _problem(part: Statement, expected: str) -> Problem:
    words = {Assignment: "an assignment", Call: "a call", If: "IF", Case: "CASE"}.get(type(part), "another statement")
    place = getattr(part, "place", Place("", 1, 1))
    return Problem(place=place, expected=expected, found=words)


