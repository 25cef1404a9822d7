"""A text that `seqcheck export` wrote, also if somebody has changed it since, read back as charts.

What stands in the text is read by the form that the exporter gives it, then exported again and compared part by part. What does not
come out as it stands was not understood, and is named with its place: nothing is skipped, or read as something else.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.errors import Place
from seqcheck.language.expression import Expression, Name
from seqcheck.language.sequence import Alarm, Chart, Flag
from seqcheck.plc.chart_names import ACTIVE_STEP
from seqcheck.plc.controller_charts import ControllerCharts, Terminal
from seqcheck.plc.export_program import export_program
from seqcheck.plc.import_chart import ChartReading
from seqcheck.plc.import_difference import refuse_difference
from seqcheck.plc.import_unit import ConditionReading, UnitParts
from seqcheck.plc.origin import Origin
from seqcheck.plc.program import Program, Variable
from seqcheck.plc.types_of_text import failure
from seqcheck.plc.value import Chain, Comparison, Enumerator, Negation, Reference, Value, variable

_ALARM = "alarm: "


def import_exported(program: Program, file: str) -> ControllerCharts:
    """The charts in a text of the exporter's form.

    Raises SequenceFileError with the place of the first part that is not understood.
    """
    units = [unit for unit in program.units if unit.keyword == "PROGRAM"]
    if len(units) != 1:
        raise failure(Place(file, 1, 1), "one PROGRAM that calls the charts", str(len(units)))
    charts = _Reading(program, UnitParts(units[0])).charts()
    again = export_program(charts, Origin(sequence=charts.name, revision="", files=(), version=""))
    refuse_difference(program, again, file)
    return charts


@dataclass(slots=True)
class _Reading:
    program: Program
    main: UnitParts
    readings: dict[str, ChartReading] = field(default_factory=dict)

    def charts(self) -> ControllerCharts:
        for part in self.main.unit.variables("VAR"):
            unit = self.program.unit(part.type_name)
            if unit is not None and unit.variable(ACTIVE_STEP) is not None:
                self.readings[part.name] = ChartReading(part.name, UnitParts(unit), self)
        if not self.readings:
            raise failure(self.main.unit.place, "charts that the program calls", "none")
        alarms = self._section("Alarms")
        return ControllerCharts(
            name=self.main.unit.comment.removeprefix("sequence "),
            inputs=tuple(Terminal(part.name, part.comment) for part in self.main.unit.variables("VAR_INPUT")),
            outputs=tuple(Terminal(part.name, part.comment) for part in self._section("Outputs")),
            flags=tuple(Flag(name=part.name, place=part.place) for part in self._section("Flags")),
            alarms=tuple(self._alarm(part) for part in alarms),
            charts=tuple(self._chart(reading) for reading in self.readings.values()),
        )

    def driven(self) -> set[str]:
        """Names of outputs, flags and alarms."""
        sections = ("Outputs", "Flags", "Alarms")
        return {part.name for section in sections for part in self._section(section)}

    def shown(self, instance: str, output: str, place: Place) -> Expression:
        """What an output of a chart's block means that shows a step or a timer of it."""
        reading = self.readings.get(instance)
        if reading is None:
            raise failure(place, "a variable or a chart", repr(instance))
        return reading.timer_shown(output, place)

    def stored_us(self, name: str) -> int | None:
        """The time of a timer of the program, or None."""
        timer = self.main.timer(name)
        return None if timer is None else timer.us

    def _section(self, comment: str) -> tuple[Variable, ...]:
        return tuple(
            part for section in self.main.unit.sections if section.comment == comment for part in section.variables
        )

    def _chart(self, reading: ChartReading) -> Chart:
        return reading.chart()

    def _alarm(self, part: Variable) -> Alarm:
        made = self.main.assigned.get(f"next_{part.name}") or self.main.assigned.get(part.name)
        if made is None:
            raise failure(part.place, f"an assignment to the alarm {part.name}", "none")
        last: Value = made.value.operands[-1] if _is_or(made.value) else made.value  # type: ignore[union-attr]
        match last:
            case Chain("AND", (Reference() as kept, Negation(clear))) if kept == variable(part.name):
                condition = _ProgramCondition(self.main, self).condition(clear)
                return Alarm(
                    name=part.name, place=part.place, text=part.comment.removeprefix(_ALARM), clear=condition
                )
        raise failure(last.place, f"'{part.name} AND NOT (what clears it)' last", "something else")


def _is_or(value: Value) -> bool:
    return isinstance(value, Chain) and value.operator == "OR"


@dataclass(frozen=True, slots=True)
class _ProgramCondition(ConditionReading):
    """Conditions in the program, which clear alarms."""

    reading: _Reading

    def named(self, value: Reference) -> Expression:
        if len(value.path) == 2:
            return self.reading.shown(value.path[0], value.path[1], value.place)
        return Name(value.place, value.text)

    def compared(self, value: Comparison) -> Expression:
        match value:
            case Comparison(left=Reference((instance, "active_step")), sign="=", right=Enumerator(name=name)):
                return Name(value.place, f"{instance}.{name}.X")
        raise failure(value.place, "'chart.active_step = step'", "another comparison")


