"""How the program joins what the charts want of one variable: the action control of IEC 61131-3, written out.

A variable is on while a chart drives it or while it is stored. A reset wins over all of it, also over what other charts want in the
same scan. An alarm is on also while a watchdog raises it, and stays until its condition clears it.
Source: IEC 61131-3, action control: Q = not R and (N or stored S or L or D or P or SD or DS or SL).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.language.sequence import Chart, Step
from seqcheck.plc.chart_names import ACTIVE_STEP, STORED_WITH_TIME, ChartNames, StoredAction
from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.export_condition import timer_call
from seqcheck.plc.identifier import Identifiers, identifier
from seqcheck.plc.program import Variable
from seqcheck.plc.statement import Assignment, Branch, If, Remark, Statement
from seqcheck.plc.value import Comparison, Negation, Truth, Value, both, either, variable


@dataclass(slots=True)
class Storage:
    """Makes the statements for one variable; `value` is what it is to be. Mutable while it does."""

    name: str
    charts: ControllerCharts
    named: dict[str, ChartNames]
    identifiers: Identifiers
    variables: list[Variable] = field(default_factory=list)
    statements: list[Statement] = field(default_factory=list)
    storing: list[Value] = field(default_factory=list)
    lasting: list[Value] = field(default_factory=list)

    def value(self) -> Value:
        """What the variable is to be after this scan; what must be done before is in `statements`."""
        plain = [variable(part.instance, part.driven[self.name]) for part in self._with("driven")]
        self.storing = [variable(part.instance, part.set_names[self.name]) for part in self._with("set_names")]
        for chart, step, number in self._timed():
            self._timed_action(chart, step, number)
        stored = self._stored() if self.storing else []
        wanted = either(*plain, *stored, *self.lasting)
        resets = self._resets()
        return both(Negation(either(*resets)), wanted) if resets and wanted != Truth(False) else wanted

    def raised(self) -> tuple[Value, ...]:
        """Watchdogs that raise the variable, which is an alarm."""
        return tuple(variable(part.instance, part.raised[self.name]) for part in self._with("raised"))

    def _with(self, kind: str) -> Iterator[ChartNames]:
        return (part for part in self.named.values() if self.name in getattr(part, kind))

    def _resets(self) -> list[Value]:
        return [variable(part.instance, part.reset_names[self.name]) for part in self._with("reset_names")]

    def _timed(self) -> Iterator[tuple[Chart, Step, int]]:
        for chart in self.charts.charts:
            for step in chart.steps:
                for number, action in enumerate(step.actions):
                    if action.variable == self.name and action.qualifier in STORED_WITH_TIME:
                        yield chart, step, number

    def _timed_action(self, chart: Chart, step: Step, number: int) -> None:
        names = self.named[chart.name]
        want = names.stored[StoredAction(step.name, number)]
        action = step.actions[number]
        if action.qualifier == "DS":
            self._until_reset(names, step, want)
            return
        assert action.time_us is not None, "the reader asks for the time"
        base = f"{names.instance}_{want}"
        started = self._declare(f"{base}_started", "BOOL", f"{step.name}: {self.name}, time runs until a reset")
        timer = self._declare(f"{base}_timer", "TON", f"{step.name}: {self.name}, qualifier {action.qualifier}")
        self._latch(started, variable(names.instance, want))
        self.statements.append(timer_call(timer, variable(started), action.time_us))
        if action.qualifier == "SD":
            self.storing.append(variable(timer, "Q"))
        else:
            self.lasting.append(both(variable(started), Negation(variable(timer, "Q"))))

    def _until_reset(self, names: ChartNames, step: Step, want: str) -> None:
        """DS: after a reset its time does not run before the step is entered again."""
        due: Value = variable(names.instance, want)
        if self._resets():
            held = self._declare(f"{names.instance}_{want}_held", "BOOL", f"{self.name} was reset in {step.name}")
            active = Comparison(
                left=variable(names.instance, ACTIVE_STEP), sign="=", right=names.enumerator(step.name)
            )
            entered = Branch(
                both(variable(names.instance, "moved"), active), (Assignment(variable(held), Truth(False)),)
            )
            reset = Branch(either(*self._resets()), (Assignment(variable(held), Truth(True)),))
            self.statements.append(If((reset, entered)))
            due = both(due, Negation(variable(held)))
        self.storing.append(due)

    def _stored(self) -> list[Value]:
        stored = self._declare(f"{identifier(self.name)}_stored", "BOOL", f"{self.name} is stored")
        self._latch(stored, either(*self.storing))
        return [variable(stored)]

    def _latch(self, name: str, setting: Value) -> None:
        on = Branch(setting, (Assignment(variable(name), Truth(True)),))
        resets = self._resets()
        off = (Branch(either(*resets), (Assignment(variable(name), Truth(False)),)),) if resets else ()
        self.statements.append(If((*off, on)))

    def _declare(self, wanted: str, type_name: str, comment: str) -> str:
        name = self.identifiers.new(wanted)
        self.variables.append(Variable(name=name, type_name=type_name, comment=comment))
        if not self.statements:
            self.statements.append(Remark(f"{self.name}: stored actions"))
        return name
