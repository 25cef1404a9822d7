"""From a monitor to the watch that the kernel shows its states to."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.kernel.condition import Test, compile_condition, names_of
from seqcheck.kernel.draw import DrawFacts, DrawWatch
from seqcheck.kernel.event import Pending
from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.memory import MemoryLayout
from seqcheck.kernel.names import NameTable
from seqcheck.kernel.observer import (
    DrawMonitor,
    Enters,
    Fails,
    Holds,
    Moment,
    Monitor,
    PrecedenceMonitor,
    ReadMonitor,
    StateMonitor,
    StopwatchMonitor,
)
from seqcheck.kernel.watch import (
    MomentTest,
    PrecedenceWatch,
    ReadWatch,
    StateWatch,
    StopwatchWatch,
    Watch,
    becomes,
    enters,
)
from seqcheck.language.expression import And, Expression


@dataclass(slots=True)
class WatchBuilder:
    """Builds watches; the name table must be complete."""

    names: NameTable
    layout: MemoryLayout
    event_names: dict[int, tuple[str, str]]
    machines: tuple[Machine, ...]
    failures: tuple[FailureMode, ...]

    def build(self, index: int, monitor: Monitor) -> Watch:
        """The watch for `monitor`."""
        match monitor:
            case StateMonitor():
                parts = tuple(self._test(part) for part in monitor.parts)
                return StateWatch(
                    index=index, requirement=monitor.requirement, bad=self._test(monitor.bad), parts=parts
                )
            case ReadMonitor():
                return self._read_watch(index, monitor)
            case StopwatchMonitor():
                return self._stopwatch(index, monitor)
            case PrecedenceMonitor():
                return PrecedenceWatch(
                    index=index,
                    requirement=monitor.requirement,
                    firsts=self._moments(monitor.first),
                    seconds=self._moments(monitor.second),
                    sinces=self._moments(monitor.since),
                )
            case DrawMonitor():
                return self._draw_watch(index, monitor)

    def _read_watch(self, index: int, monitor: ReadMonitor) -> ReadWatch:
        parts = monitor.needs.operands if isinstance(monitor.needs, And) else (monitor.needs,)
        return ReadWatch(
            index=index,
            requirement=monitor.requirement,
            output_bit=1 << self.names.outputs[monitor.output],
            needs=compile_condition(monitor.needs, self.names.read_test),
            parts=tuple(compile_condition(part, self.names.read_test) for part in parts),
        )

    def _stopwatch(self, index: int, monitor: StopwatchMonitor) -> StopwatchWatch:
        return StopwatchWatch(
            index=index,
            requirement=monitor.requirement,
            starts=self._moments(monitor.start),
            ends=self._moments(monitor.end),
            cancels=self._moments(monitor.cancel),
            age=self._age(monitor.requirement, "limit passes", monitor.length_us),
            looks_at_facts=self._looks_at_facts_alone(monitor),
        )

    def _looks_at_facts_alone(self, monitor: StopwatchMonitor) -> bool:
        moments = (*monitor.start, *monitor.end, *monitor.cancel)
        return all(
            isinstance(moment, Holds) and all(name in self.names.facts for name in names_of(moment.condition))
            for moment in moments
        )

    def _draw_watch(self, index: int, monitor: DrawMonitor) -> DrawWatch:
        ages = [
            self._age(monitor.requirement, f"since {moment}", monitor.length_us)
            for moment in ("unwind left line speed", "unwind stood", "unwind restarted", "line slowed")
        ]
        return DrawWatch(
            index=index,
            requirement=monitor.requirement,
            facts=self._draw_facts(monitor),
            since_start=ages[0],
            since_stand=ages[1],
            since_restart=ages[2],
            since_line=ages[3],
        )

    def _draw_facts(self, monitor: DrawMonitor) -> DrawFacts:
        return DrawFacts(
            at_speed=self._fact(monitor.unwind, "is_at_speed"),
            standing=self._fact(monitor.unwind, "is_stopped"),
            starting=self._fact(monitor.unwind, "is_starting"),
            line_at_speed=self._fact(monitor.line, "is_at_speed"),
            line_standing=self._fact(monitor.line, "is_stopped"),
            line_slowing=self._fact(monitor.line, "is_slowing"),
            full=self._fact(monitor.accumulator, "is_emptied" if monitor.takes_up else "is_filled"),
            at_running_level=self._fact(monitor.accumulator, "is_running_level"),
        )

    def _fact(self, device: str, fact: str) -> Test:
        machine, holders = self.names.facts[f"{device}.{fact}"]
        return lambda view: view.plant[machine] in holders

    def _age(self, requirement: str, moment: str, length_us: int) -> Pending:
        key = self.layout.key()
        self.event_names[key] = (requirement, moment)
        return Pending(key, length_us, length_us)

    def _moments(self, moments: tuple[Moment, ...]) -> tuple[MomentTest, ...]:
        return tuple(self._moment(moment) for moment in moments)

    def _moment(self, moment: Moment) -> MomentTest:
        match moment:
            case Holds(condition=condition):
                return becomes(self._test(condition))
            case Enters(chart=chart, step=step):
                return enters(*self.names.steps[f"{chart}.{step}.X"])
            case Fails(failure=failure):
                return becomes(self._failed(failure))

    def _failed(self, failure: str) -> Test:
        """Whether a failure is there: a contact stuck that way, or its device in a position of the failed mode."""
        mode = next(mode for mode in self.failures if mode.name == failure)
        contact = mode.contact
        if contact and mode.stuck_on:
            return lambda view: view.stuck_on & contact != 0
        if contact:
            return lambda view: view.stuck_off & contact != 0
        machine = self.machines[mode.machine]
        targets = {part.target for place in machine.places for part in place.failures if part.failure == mode.index}
        modes = {machine.places[target].mode for target in targets}
        holders = frozenset(number for number, place in enumerate(machine.places) if place.mode in modes)
        return lambda view: view.plant[machine.index] in holders

    def _test(self, expression: Expression) -> Test:
        return compile_condition(expression, self.names.machine_test)


def devices_failing(monitor: Monitor) -> frozenset[str]:
    """The devices whose failures a monitor waits for: their inputs must fail as contacts, not be chosen."""
    if not isinstance(monitor, StopwatchMonitor):
        return frozenset()
    return frozenset(moment.failure.split(".")[0] for moment in monitor.start if isinstance(moment, Fails))


def conditions_of(monitor: Monitor) -> tuple[Expression, ...]:
    """Every condition a monitor looks at, but for those of a read."""
    match monitor:
        case StateMonitor():
            return (monitor.bad, *monitor.parts)
        case StopwatchMonitor():
            moments = (*monitor.start, *monitor.end, *monitor.cancel)
        case PrecedenceMonitor():
            moments = (*monitor.first, *monitor.second, *monitor.since)
        case _:
            return ()
    return tuple(moment.condition for moment in moments if isinstance(moment, Holds))
