"""Each timer of the kernel's controller beside the timer of the exported text that stands for it.

A timer shows since when it runs, that it has run out, or that it does neither.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from plc.exported_controller import ExportedController
from plc.kernel_controller import ReferenceController

from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_RUNNING, TimerCell
from seqcheck.language.expression import Expression, TimerCall, to_text
from seqcheck.language.sequence import Chart
from seqcheck.plc.chart_names import ChartNames, StoredAction
from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.export_program import names_of_charts
from seqcheck.plc.function_block import BlockMemory
from seqcheck.plc.step_timer import LATE, REACHED, StepTimer

Shown = int | str | None
EXPIRED = "expired"


@dataclass(frozen=True)
class TimerPair:
    label: str
    kernel: Callable[[], Shown]
    text: Callable[[], Shown]

    def agrees(self) -> bool:
        return self.kernel() == self.text()

    def told(self) -> str:
        return f"{self.label}: {self.kernel()} {self.text()}"


def timer_pairs(kernel: ReferenceController, text: ExportedController) -> list[TimerPair]:
    """A pair for every timer of the kernel: none may be left over."""
    places = {**dict(_of_steps(kernel, text)), **dict(_of_stored(kernel, text)), **dict(_of_conditions(kernel, text))}
    timers = kernel.network.controller.timers
    assert set(places) == {timer.cell for timer in timers}
    return [TimerPair(timer.label, _kernel_shows(kernel, timer), places[timer.cell]) for timer in timers]


def _kernel_shows(kernel: ReferenceController, timer: TimerCell) -> Callable[[], Shown]:
    def shows() -> Shown:
        state = kernel.kernel.memory[timer.cell]
        if state == TIMER_EXPIRED:
            return EXPIRED
        return kernel.kernel.since_us[timer.cell] if state == TIMER_RUNNING else None

    return shows


def _on_delay(block: BlockMemory) -> Shown:
    if not block.cells["IN"]:
        return None
    return EXPIRED if block.cells["Q"] else block.started_us


def _timing(block: BlockMemory) -> Shown:
    """TOF and TP: after their time there is nothing left to remember."""
    return block.started_us if block.is_timing and block.cells["Q"] else None


def _of_steps(kernel: ReferenceController, text: ExportedController) -> Iterator[tuple[int, Callable[[], Shown]]]:
    for names in names_of_charts(text.charts).values():
        for timer, name in names.timers.items():
            cell = _cell(kernel, _label(names.chart, timer), timer.us)
            if timer.purpose == "DS":
                yield cell, _unless_held(text, names, timer, name)
            else:
                yield cell, lambda path=(names.instance, name): _on_delay(text.interpreter.block(*path))  # type: ignore[misc]


def _unless_held(text: ExportedController, names: ChartNames, timer: StepTimer, name: str) -> Callable[[], Shown]:
    """The time of a DS action counts only while no reset holds it."""
    held = f"{names.instance}_{names.stored[StoredAction(timer.step, timer.action)]}_held"
    is_held = text.program_has(held)

    def shows() -> Shown:
        if is_held and text.interpreter.value(held):
            return None
        return _on_delay(text.interpreter.block(names.instance, name))

    return shows


def _of_stored(kernel: ReferenceController, text: ExportedController) -> Iterator[tuple[int, Callable[[], Shown]]]:
    for chart, names in zip(text.charts.charts, names_of_charts(text.charts).values(), strict=True):
        for step in chart.steps:
            for number, action in enumerate(step.actions):
                if action.qualifier in ("SD", "SL"):
                    assert action.time_us is not None
                    label = f"{chart.name}.{step.name} {action.variable} {action.qualifier}"
                    name = f"{names.instance}_{names.stored[StoredAction(step.name, number)]}_timer"
                    cell = _cell(kernel, label, action.time_us)
                    yield cell, lambda name=name: _on_delay(text.interpreter.block(name))  # type: ignore[misc]


def _of_conditions(kernel: ReferenceController, text: ExportedController) -> Iterator[tuple[int, Callable[[], Shown]]]:
    """In the order in which the kernel makes them; of equal ones in one unit any stands for all, they go together."""
    timers = [part for part in kernel.network.controller.timers if part.label.startswith(("TON(", "TOF(", "TP("))]
    wanted = [(path, call) for path, condition in _conditions(text.charts) for call in _calls(condition)]
    for timer, (path, call) in zip(timers, wanted, strict=True):
        assert timer.label == to_text(call)
        block = (*path, text.commented(path, timer.label))
        shows = _on_delay if call.kind == "TON" else _timing
        yield timer.cell, lambda block=block, shows=shows: shows(text.interpreter.block(*block))  # type: ignore[misc]


def _conditions(charts: ControllerCharts) -> Iterator[tuple[tuple[str, ...], Expression]]:
    names = names_of_charts(charts)
    for chart in charts.charts:
        for condition in _of_chart(chart):
            yield (names[chart.name].instance,), condition
    yield from (((), alarm.clear) for alarm in charts.alarms)


def _of_chart(chart: Chart) -> list[Expression]:
    ways = {id(way): way for step in chart.steps for way in chart.transitions_of(step)}
    return [way.condition for way in ways.values()]


def _calls(condition: Expression) -> list[TimerCall]:
    """Inner ones first."""
    return [part for part in _after_its_parts(condition) if isinstance(part, TimerCall)]


def _after_its_parts(condition: Expression) -> Iterator[Expression]:
    direct = getattr(condition, "operands", None) or ([condition.operand] if hasattr(condition, "operand") else [])
    for part in direct:
        yield from _after_its_parts(part)
    yield condition


def _label(chart: str, timer: StepTimer) -> str:
    if timer.purpose == LATE:
        return f"{chart}.{timer.step} watchdog"
    if timer.purpose == REACHED:
        return f"{chart}.{timer.step}.T reaches its limit"
    return f"{chart}.{timer.step} {timer.variable} {timer.purpose}"


def _cell(kernel: ReferenceController, label: str, length_us: int) -> int:
    found = [part.cell for part in kernel.network.controller.timers if (part.label, part.length_us) == (label, length_us)]
    return found[0]
