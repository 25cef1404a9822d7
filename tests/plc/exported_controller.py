"""An exported text, run scan by scan; shows what the kernel's controller shows."""

from __future__ import annotations

from collections.abc import Callable

from plc.kernel_controller import Shown

from seqcheck.language.sequence import Sequence
from seqcheck.plc.controller_charts import ControllerCharts, controller_charts
from seqcheck.plc.export_program import export_program
from seqcheck.plc.identifier import identifier
from seqcheck.plc.interpreter import Interpreter
from seqcheck.plc.origin import Origin, SourceFile
from seqcheck.plc.parse_text import parse_text
from seqcheck.plc.print_text import program_text

ORIGIN = Origin(
    sequence="trial", revision="3", files=(SourceFile(name="trial.yaml", sha256="0" * 64),), version="seqcheck 0"
)


def exported_text(sequence: Sequence) -> str:
    return program_text(export_program(controller_charts(sequence), ORIGIN))


class ExportedController:
    """The text of a sequence, printed and read again before it runs."""

    def __init__(self, charts: ControllerCharts, text: str) -> None:
        self.charts = charts
        self.program = parse_text(text, "trial.st")
        self.interpreter = Interpreter(self.program)
        self.inputs = {part.name: identifier(part.name) for part in charts.inputs}
        self.steps = {
            chart.name: (identifier(chart.name), {identifier(step.name): step.name for step in chart.steps})
            for chart in charts.charts
        }
        self.driven = {name: identifier(name) for name in charts.driven}

    def restart(self, steps: dict[str, str]) -> None:
        """Power up in these steps."""
        retained = {(identifier(chart), "active_step"): identifier(step) for chart, step in steps.items()}
        self.interpreter.power_up(retained)

    def program_has(self, name: str) -> bool:
        return self.program.units[-1].variable(name) is not None

    def commented(self, path: tuple[str, ...], comment: str) -> str:
        """The first variable with this comment in the program, or in the unit of one of its blocks."""
        unit = self.program.units[-1]
        for name in path:
            variable = unit.variable(name)
            assert variable is not None
            found = self.program.unit(variable.type_name)
            assert found is not None
            unit = found
        return next(part.name for part in unit.variables() if part.comment == comment)

    def scan(self, now_us: int, on: set[str]) -> Shown:
        self.interpreter.scan(now_us, {made: name in on for name, made in self.inputs.items()})
        shown: Shown = {
            f"step of {chart}": names[str(self.interpreter.value(instance, "active_step"))]
            for chart, (instance, names) in self.steps.items()
        }
        return shown | {name: self.interpreter.value(made) for name, made in self.driven.items()}


Export = Callable[[ControllerCharts], str]


def exported(charts: ControllerCharts) -> str:
    return program_text(export_program(charts, ORIGIN))
