"""One pass over what follows each failure: the rows of the fault table, and what the troubleshooting table needs to know."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.event import Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Chart, Sequence
from seqcheck.report.exploration import Exploration
from seqcheck.report.fault_clock import DRAW_BEGINS, DRAW_ENDS, FIRST_ALARM, HAZARD_ENDS, NOTICED
from seqcheck.report.fault_runs import (
    FaultRun,
    FaultTests,
    fault_runs,
    fault_tests,
    rests_on_bound,
    shortest_run,
    was_noticed,
)
from seqcheck.report.fault_table import FaultRow, Notice
from seqcheck.report.subjects import outputs_written, subjects_of

MOST_EFFECTS = 12
"""More lines than these tell no more of what happens."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmTrace:
    """An alarm after a failure: which inputs were on, and which off, in some state in which it is on at an end (as masks)."""

    failure: int
    alarm: str
    step: str
    ever_on: int
    ever_off: int


def main_chart(sequence: Sequence) -> int:
    """The number of the chart that most steps of which write a hazardous output; the one with most steps where none does."""
    hazardous = {part.name for part in subjects_of(sequence)}
    return max(range(len(sequence.charts)), key=lambda number: (*_weight(sequence.charts[number], hazardous), -number))


def _weight(chart: Chart, hazardous: set[str]) -> tuple[int, int]:
    driving = sum(any(action.variable in hazardous for action in step.actions) for step in chart.steps)
    return driving, len(chart.steps)


@dataclass(slots=True)
class FaultFindings:
    """Gathers rows and traces. Mutable; made by `fault_findings`."""

    exploration: Exploration
    main: int
    horizon_us: int
    tests: FaultTests
    rows: list[FaultRow]
    traces: list[AlarmTrace]

    def gather(self) -> None:
        """Look at every failure in every step."""
        for run in fault_runs(self.exploration, self.main, self.horizon_us):
            self.rows.append(self._row(run))
            self.traces.extend(self._traces(run))

    # -- a row -----------------------------------------------------------------------------------------------

    def _row(self, run: FaultRun) -> FaultRow:
        network, charts = self.exploration.network, self.exploration.network.controller.charts
        mode, ends = network.failures[run.failure], tuple(run.ends())
        tests = self.tests
        at_read = bool(mode.contact & network.contacts_at_read)
        ends_in = sorted({node.core.state.memory[self.main] for node in ends})
        runs_on = any(not tests.is_safe(node.core.state) for node in ends)
        steps = {
            f"{chart.name}.{chart.step_names[begin.before.memory[chart.number]]}"
            for begin in run.begins
            for chart in charts
            if chart.number != self.main
        }
        silent = [node for node in ends if not was_noticed(node) and not network.alarms_in(node.core.state.memory)]
        return FaultRow(
            failure=mode.name,
            meaning=mode.text,
            step=self._step(run.step),
            other_steps=tuple(sorted(steps)),
            effects=tuple(self._effects(run)),
            notice=_notice(len(silent), len(ends), any(was_noticed(node) for node in ends)),
            alarms=tuple(sorted(self._first_alarms(run))),
            detection_us=self._detection_us(run, at_read),
            safe_us=None if runs_on else self._safe_us(run, at_read),
            ends_in=tuple(self._step(step) for step in ends_in),
            runs_on=runs_on,
            web_drawn_m=self._web_drawn_m(run, any(tests.is_drawing(node.core.state) for node in ends)),
            prompts=tuple(self._prompts({node.core.state.memory for node in ends})),
            by_bound=at_read or rests_on_bound(run),
            is_complete=run.is_complete,
        )

    def _step(self, number: int) -> str:
        chart = self.exploration.network.controller.charts[self.main]
        return f"{chart.name}.{chart.step_names[number]}"

    def _one_scan_us(self, at_read: bool) -> int:
        """A contact that fails in the read that sees it has failed at most one scan before."""
        return self.exploration.network.longest_period_us if at_read else 0

    def _detection_us(self, run: FaultRun, at_read: bool) -> int | None:
        worst = run.search.records[FIRST_ALARM].worst_us
        if worst is None and any(_watch(part.seed.state, run) & NOTICED for part in run.begins):
            worst = 0
        return None if worst is None else worst + self._one_scan_us(at_read)

    def _safe_us(self, run: FaultRun, at_read: bool) -> int:
        return (run.search.records[HAZARD_ENDS].worst_us or 0) + self._one_scan_us(at_read)

    def _web_drawn_m(self, run: FaultRun, still_drawing: bool) -> float | None:
        """Line speed times the span from the first moment of drawing to the last: a bound, since ramps are not counted in."""
        line = self.exploration.sequence.machine.line
        if line is None or self.exploration.sequence.machine.accumulator is None or still_drawing:
            return None
        drawing = any(self.tests.is_drawing(part.seed.state) for part in run.begins)
        begin_us = 0 if drawing else run.search.records[DRAW_BEGINS].best_us or 0
        end_us = run.search.records[DRAW_ENDS].worst_us or begin_us
        return line.speed_m_per_s * (end_us - begin_us) / 1e6

    def _first_alarms(self, run: FaultRun) -> set[str]:
        network = self.exploration.network
        found: set[str] = set()
        for begin in run.begins:
            found.update(_alarms_raised(network, begin.before, begin.seed.state))
        for node in run.nodes():
            if was_noticed(node):
                continue
            for group in node.steps:
                for step in group or ():
                    if step.was_taken:
                        found.update(_alarms_raised(network, node.core.state, step.edge.target))
        return found

    def _effects(self, run: FaultRun) -> Iterator[str]:
        told: dict[str, None] = {}
        before = run.begins[0].before
        for edge in shortest_run(run):
            told.update(dict.fromkeys(self._told(before, edge)))
            before = edge.target
        yield from list(told)[:MOST_EFFECTS]

    def _told(self, before: State, edge: Edge) -> Iterator[str]:
        network, after = self.exploration.network, edge.target
        if edge.event.cause is Cause.READ:
            for chart, step in edge.entered:
                names = network.controller.charts[chart]
                yield f"{names.name} goes to {names.step_names[step]}"
        yield from (f"alarm {name} comes" for name in _alarms_raised(network, before, after))
        outputs = outputs_written(self.exploration.sequence)
        gone, come = before.written & ~after.written, after.written & ~before.written
        yield from (f"{name} goes off" for name in network.outputs_in(gone) if name in outputs)
        yield from (f"{name} comes on" for name in network.outputs_in(come) if name in outputs)

    def _prompts(self, memories: set[tuple[int, ...]]) -> Iterator[str]:
        """What the charts ask of the operator where it ends, the main chart first."""
        charts = self.exploration.sequence.charts
        order = [self.main, *(number for number in range(len(charts)) if number != self.main)]
        told: dict[str, None] = {}
        for number in order:
            for step in sorted({memory[number] for memory in memories}):
                prompt = charts[number].steps[step].prompt
                if prompt:
                    told[prompt] = None
        yield from told

    # -- for troubleshooting -----------------------------------------------------------------------------------

    def _traces(self, run: FaultRun) -> Iterator[AlarmTrace]:
        network = self.exploration.network
        raised: set[str] = set()
        for before, edge in run.edges():
            raised.update(_alarms_raised(network, before, edge.target))
        ends = [node.core.state for node in run.ends()]
        for alarm in sorted(raised):
            states = [state for state in ends if alarm in network.alarms_in(state.memory)] or ends
            on = off = 0
            for state in states:
                on, off = on | state.signals, off | ~state.signals
            yield AlarmTrace(failure=run.failure, alarm=alarm, step=self._step(run.step), ever_on=on, ever_off=off)


def _watch(state: State, run: FaultRun) -> int:
    node = next(node for node in run.search.nodes.values() if node.core.state == state._replace(watch=()))
    value = node.watch[0]
    assert isinstance(value, int), "the clock counts in one number"
    return value


def _notice(silent: int, ends: int, is_new: bool) -> Notice:
    if silent == 0:
        return Notice.ALWAYS if is_new else Notice.ALREADY
    return Notice.NEVER if silent == ends else Notice.SOMETIMES


def _alarms_raised(network: Network, before: State, after: State) -> tuple[str, ...]:
    if before.control is after.control:
        return ()
    were = network.alarms_in(before.memory)
    return tuple(name for name in network.alarms_in(after.memory) if name not in were)


def fault_findings(exploration: Exploration, main: int, horizon_us: int) -> FaultFindings:
    """Everything found out about failures, one after the other."""
    tests = fault_tests(exploration.sequence, exploration.network)
    findings = FaultFindings(exploration, main, horizon_us, tests, [], [])
    findings.gather()
    return findings
