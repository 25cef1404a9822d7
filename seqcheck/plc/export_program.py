"""All charts of a sequence as one text for a controller: a function block a chart, and the program that calls them in order.

In one scan the program runs every chart in the order of the file, then joins what they want of outputs, flags and alarms. All of
these are written last, so that charts see them as the scan before left them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.expression import names_in
from seqcheck.plc.chart_names import ACTIVE_STEP, ChartNames, chart_names, comments_of
from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.export_chart import ChartExport
from seqcheck.plc.export_condition import Blocks, Names
from seqcheck.plc.export_storage import Storage
from seqcheck.plc.identifier import Identifiers, identifier
from seqcheck.plc.origin import Origin
from seqcheck.plc.program import Enumeration, Program, Section, Unit, Variable
from seqcheck.plc.statement import Argument, Assignment, Call, Remark, Statement
from seqcheck.plc.step_timer import StepTimer, step_timers
from seqcheck.plc.value import Comparison, Negation, Truth, Value, both, either, variable


def export_program(charts: ControllerCharts, origin: Origin) -> Program:
    """The text of all charts, with where it comes from on top.

    Raises SequenceFileError if two names of the file are one and the same to a controller.
    """
    _refuse_equal_names(charts)
    return _ProgramExport(charts).program(origin)


def names_of_charts(charts: ControllerCharts) -> dict[str, ChartNames]:
    """What the function block of each chart calls its variables."""
    return _ProgramExport(charts).named


@dataclass(slots=True)
class _ProgramExport:
    charts: ControllerCharts
    identifiers: Identifiers = field(default_factory=Identifiers)
    named: dict[str, ChartNames] = field(default_factory=dict)
    timers: tuple[StepTimer, ...] = ()
    storages: dict[str, Storage] = field(default_factory=dict)
    comments: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.identifiers.add(identifier(name) for name, _ in _all_names(self.charts))
        self.timers = step_timers(self.charts)
        self.comments = comments_of(self.charts)
        self.named = {
            chart.name: chart_names(self.charts, chart, self.timers, self.identifiers)
            for chart in self.charts.charts
        }

    def program(self, origin: Origin) -> Program:
        exports = [
            ChartExport(self.charts, chart, self.named[chart.name], self.named) for chart in self.charts.charts
        ]
        blocks = tuple(export.unit() for export in exports)
        calls = tuple(export.call() for export in exports)
        return Program(
            header=origin.lines,
            enumerations=tuple(self._steps(chart.name) for chart in self.charts.charts),
            units=(*blocks, self._unit(calls)),
        )

    def _steps(self, chart: str) -> Enumeration:
        names = self.named[chart]
        values = tuple(identifier(step.name) for step in self.charts.chart_named(chart).steps)
        return Enumeration(name=names.steps_type, values=values)

    def _unit(self, calls: tuple[Call, ...]) -> Unit:
        clears = Blocks(Names(self._named, self._reached), self.identifiers)
        clearing = {
            alarm.name: clears.value(alarm.clear, f"clear_{identifier(alarm.name)}") for alarm in self.charts.alarms
        }
        values = {name: self._value(name) for name in self.charts.driven}
        writes, later = self._writes(values, clearing)
        early = [
            Call(call.instance, (Argument(name="only_timers", value=Truth(True)),))
            for call in calls
            if self.named[self._chart_of(call)].is_asked_early
        ]
        body: list[Statement] = [Remark("Timers that a chart above looks at"), *early] if early else []
        body += [Remark("Charts, in the order of the file"), *calls]
        if clears.calls:
            body += [Remark("Timers and edges in conditions that clear alarms"), *clears.calls]
        for storage in self.storages.values():
            body += storage.statements
        body += [Remark("Outputs, flags and alarms, written last"), *writes]
        inner = (*clears.variables, *(part for one in self.storages.values() for part in one.variables), *later)
        sections = tuple(part for part in self._sections(inner) if part.variables)
        name = self.identifiers.new("controller")
        comment = f"sequence {self.charts.name}"
        return Unit(keyword="PROGRAM", name=name, sections=sections, body=tuple(body), comment=comment)

    def _chart_of(self, call: Call) -> str:
        return next(name for name, part in self.named.items() if part.instance == call.instance)

    def _sections(self, inner: tuple[Variable, ...]) -> Iterator[Section]:
        names = [part.name for part in self.charts.inputs]
        yield Section(keyword="VAR_INPUT", variables=self._bools(names), comment="Inputs")
        names = [part.name for part in self.charts.outputs]
        yield Section(keyword="VAR_OUTPUT", variables=self._bools(names), comment="Outputs")
        names = [part.name for part in self.charts.alarms]
        yield Section(keyword="VAR_OUTPUT", variables=self._bools(names), comment="Alarms")
        names = [part.name for part in self.charts.flags]
        yield Section(keyword="VAR", variables=self._bools(names), comment="Flags")
        instances = tuple(
            Variable(name=part.instance, type_name=part.type_name, comment=f"chart {name}")
            for name, part in self.named.items()
        )
        yield Section(keyword="VAR", variables=instances, comment="Charts")
        yield Section(keyword="VAR", variables=inner, comment="What is kept from scan to scan")

    def _bools(self, names: list[str]) -> tuple[Variable, ...]:
        return tuple(
            Variable(name=identifier(name), type_name="BOOL", comment=self.comments[name]) for name in names
        )

    # ---- conditions that clear alarms look at everything as it is after the charts have run

    def _named(self, text: str) -> Value:
        owner, _, rest = text.partition(".")
        if not rest:
            return variable(identifier(text))
        step, _, flag = rest.partition(".")
        names = self.named[owner]
        if flag == "X":
            active = variable(names.instance, ACTIVE_STEP)
            return Comparison(left=active, sign="=", right=names.enumerator(step))
        return variable(names.instance, names.shown_timers[names.watchdog(step)])

    def _reached(self, step: str, limit_us: int) -> Value:
        owner, _, name = step.partition(".")
        names = self.named[owner]
        return variable(names.instance, names.shown_timers[names.reached(name, limit_us)])

    # ---- writing

    def _value(self, name: str) -> Value:
        storage = Storage(name, self.charts, self.named, self.identifiers)
        self.storages[name] = storage
        return storage.value()

    def _writes(
        self, values: dict[str, Value], clearing: dict[str, Value]
    ) -> tuple[list[Statement], list[Variable]]:
        """The last statements of the program.

        A value waits in a variable of its own if a condition that clears an alarm looks at it, and so does an alarm whose condition
        looks at what is written here: all conditions must see what the scan before has left.
        """
        clears = {alarm.name: {name.text for name in names_in(alarm.clear)} for alarm in self.charts.alarms}
        looked_at = {name for names in clears.values() for name in names}
        waits = looked_at | {alarm for alarm, names in clears.items() if names & set(self.charts.driven)}
        first: list[Statement] = []
        last: list[Statement] = []
        waiting: list[Variable] = []
        for name, value in values.items():
            target = identifier(name)
            final = self._lasting(name, value, clearing[name]) if name in clearing else value
            if name in waits:
                made = self.identifiers.new(f"next_{target}")
                waiting.append(Variable(name=made, type_name="BOOL", comment=f"{name} after this scan"))
                first.append(Assignment(variable(made), final))
                final = variable(made)
            last.append(Assignment(variable(target), final))
        return [*first, *last], waiting

    def _lasting(self, alarm: str, driven: Value, clear: Value) -> Value:
        stays = both(variable(identifier(alarm)), Negation(clear))
        wanted = () if driven == Truth(False) else (driven,)
        return either(*wanted, *self.storages[alarm].raised(), stays)


def _all_names(charts: ControllerCharts) -> Iterator[tuple[str, Place | None]]:
    yield from ((part.name, None) for part in (*charts.inputs, *charts.outputs))
    yield from ((flag.name, flag.place) for flag in charts.flags)
    yield from ((alarm.name, alarm.place) for alarm in charts.alarms)
    yield from ((chart.name, chart.place) for chart in charts.charts)


def _refuse_equal_names(charts: ControllerCharts) -> None:
    place = charts.charts[0].place
    problems = list(_equal_names([(name, found or place) for name, found in _all_names(charts)]))
    for chart in charts.charts:
        problems += _equal_names([(step.name, step.place) for step in chart.steps])
    if problems:
        raise SequenceFileError(problems)


def _equal_names(names: list[tuple[str, Place]]) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for name, place in names:
        known = first.setdefault(identifier(name).upper(), name)
        if known != name:
            found = f"{name!r} beside {known!r}"
            expected = "names that differ by more than the case of letters or underscores"
            yield Problem(place=place, expected=expected, found=found)
