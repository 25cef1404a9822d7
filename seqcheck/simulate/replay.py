"""A schedule found by the explorer, run again on the concrete machine: real inputs, reads and times.

It is confirmed only if every event fires inside its own time range, nothing pending is passed over, every
read is a periodic one, idle reads change nothing, and the states and the marks of the monitors are those that
the explorer claims.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

from seqcheck.kernel.event import FREE, WRITE, Cause, Edge
from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Happening, Schedule
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.kernel.state import State
from seqcheck.quantities.time import format_time
from seqcheck.simulate.edges import (
    all_edges,
    failing_at_once,
    failing_late,
    free_edges,
    read_edges,
    result_of_read,
    without_phase,
)
from seqcheck.simulate.inputs import acts_to_see, machines_behind, values_that_change_nothing
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.running import OvershotError, Running, begin, start_at


@dataclass(frozen=True, slots=True)
class Replay:
    """Whether the schedule was confirmed, why not (with the time), and the run as far as it went."""

    confirmed: bool
    reason: str
    run: Run


class RefusedError(Exception):
    """The schedule cannot go on here; the text says why."""


def replay(network: Network, schedule: Schedule) -> Replay:
    """Run `schedule` on `network`: same sequence and monitors, options `choose` and `at_read` off."""
    replaying = _Replaying(network, schedule, begin(network, start_at(network, schedule.start)))
    running = replaying.running
    reason = ""
    try:
        replaying.run()
    except (RefusedError, InstantLoopError) as refused:
        reason = f"time {format_time(running.now_us)}: {refused}"
    except OvershotError as overshot:
        reason = f"time {format_time(running.now_us)}: the machine brings {overshot}, the schedule does not"
    run = Run(
        schedule=running.schedule(),
        noticed=tuple(running.noticed),
        stop=RunStop.REFUSED if reason else RunStop.REPLAYED,
        end_us=running.now_us,
        note=reason,
    )
    return Replay(not reason, reason, run)


@dataclass(slots=True)
class _Replaying:
    """A replay under way. Mutable; owned by `replay`. `inputs` are those that the explorer chose at reads."""

    network: Network
    schedule: Schedule
    running: Running
    idle_us: list[int] = field(default_factory=list)
    inputs: int = 0
    chosen_machines: frozenset[int] = frozenset()
    returning: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        """Find out which inputs were chosen at reads."""
        self.idle_us = sorted(self.schedule.idle_read_times_us)
        for happening in self.schedule.happenings:
            self.inputs |= happening.edge.event.chosen[0]
        self.chosen_machines = frozenset(
            machine.index for machine in machines_behind(self.network, self.inputs)
        )

    def run(self) -> None:
        self._compare(self.schedule.start, "at the start")
        for happening in self.schedule.happenings:
            self._idle_reads_before(happening.time_us)
            self.running.advance(happening.time_us)
            self._try_idle_reads_now()
            self._happen(happening)
        while self.idle_us:
            self._read_idly(self.idle_us[0])

    # -- idle reads ------------------------------------------------------------------------------------------

    def _idle_reads_before(self, time_us: int) -> None:
        while self.idle_us and self.idle_us[0] < time_us:
            self._read_idly(self.idle_us[0])

    def _try_idle_reads_now(self) -> None:
        """An idle read in the instant of other events takes its turn as soon as it changes nothing."""
        while self.idle_us and self.idle_us[0] == self.running.now_us and self._can_read_idly():
            self._read_idly(self.idle_us[0])

    def _can_read_idly(self) -> bool:
        values = values_that_change_nothing(self.network, self.running.state, self.inputs)
        return values is not None and not self.running.writes_first()

    def _read_idly(self, time_us: int) -> None:
        self.idle_us.pop(0)
        self.running.advance(time_us)
        self._check_read_is_due()
        values = values_that_change_nothing(self.network, self.running.state, self.inputs)
        if values is None:
            raise RefusedError("a periodic read that should be idle changes something")
        acts = acts_to_see(self.network, self.running.state, self.inputs, values)
        if acts is None:
            raise RefusedError("nobody can set the inputs so that the read is idle")
        self._take_all(acts)
        self.running.read_idly()

    def _check_read_is_due(self) -> None:
        shortest_us, _ = self.running.read_window()
        if self.running.now_us < shortest_us:
            raise RefusedError(
                f"a read comes before {format_time(shortest_us)}, a shortest period after the last"
            )
        if self.running.writes_first():
            raise RefusedError("a read comes before the outputs of the last one are written")

    # -- happenings ------------------------------------------------------------------------------------------

    def _happen(self, happening: Happening) -> None:
        first = len(self.running.noticed)
        if happening.edge.event.cause is Cause.READ:
            self._read(happening)
        else:
            self._fire(happening)
        self._compare(happening.edge.target, _sentence(happening.edge))
        self._remember_returning(happening.edge)
        missing = self._marks_missing(happening.edge, first)
        if missing:
            raise RefusedError(f"the monitors do not notice what they should: {', '.join(missing)}")

    def _marks_missing(self, edge: Edge, first: int) -> list[str]:
        seen = {(item.monitor, item.kind) for item in self.running.noticed[first:]}
        return [
            mark.kind for mark in edge.marks if mark.kind != "part" and (mark.monitor, mark.kind) not in seen
        ]

    def _remember_returning(self, edge: Edge) -> None:
        self.returning |= {mode.index for mode in self._modes(edge.event.faults) if mode.is_intermittent}

    def _modes(self, names: tuple[str, ...]) -> tuple[FailureMode, ...]:
        found = []
        for name in names:
            mode = self.network.failure_named(name)
            if mode is None:
                raise RefusedError(f"the machine has no failure {name}")
            found.append(mode)
        return tuple(found)

    def _fire(self, happening: Happening) -> None:
        key = happening.edge.event.key
        if key != FREE:
            self._check_is_due(key, _sentence(happening.edge))
        for network in (failing_late(self.network), failing_at_once(self.network)):
            edge = self._best(happening.edge, self._candidates(network, happening.edge))
            if edge is not None:
                self.running.take(edge, happening.earliest_us, happening.latest_us)
                return
        raise RefusedError(f"the machine cannot do this as the schedule says: {_sentence(happening.edge)}")

    def _check_is_due(self, key: int, sentence: str) -> None:
        window = next((part for part in self.running.windows() if part.event.key == key), None)
        if window is None:
            raise RefusedError(f"this is not pending: {sentence}")
        if self.running.now_us < window.earliest_us:
            raise RefusedError(f"this is not due before {format_time(window.earliest_us)}: {sentence}")

    def _candidates(self, network: Network, wanted: Edge) -> tuple[Edge, ...]:
        failures = frozenset(mode.index for mode in self._modes(wanted.event.faults))
        again = failures & self.returning
        edges = all_edges(network, self.running.state, failures, len(failures - again), again)
        event = wanted.event
        return tuple(
            edge for edge in edges if edge.event.key == event.key and edge.event.cause is event.cause
        )

    def _best(self, wanted: Edge, candidates: tuple[Edge, ...]) -> Edge | None:
        """The candidate with the wanted failures and target.

        Of several, the one of the same subject and action.
        """
        same = [
            edge
            for edge in candidates
            if sorted(edge.event.faults) == sorted(wanted.event.faults)
            and self._difference(edge.target, wanted.target) is None
        ]
        name = (wanted.event.subject, wanted.event.action)
        named = [edge for edge in same if (edge.event.subject, edge.event.action) == name]
        return next(iter(named or same), None)

    # -- reads -----------------------------------------------------------------------------------------------

    def _read(self, happening: Happening) -> None:
        self._check_read_is_due()
        contacts = [mode for mode in self._modes(happening.edge.event.faults) if mode.contact]
        for count in range(len(contacts), -1, -1):
            for before in combinations(contacts, count):
                path = self._path_of_read(happening.edge, before)
                if path is not None:
                    self._take_all(path[:-1])
                    self.running.take(path[-1], happening.earliest_us, happening.latest_us)
                    return
        raise RefusedError(f"the read does not do what the schedule says: {_sentence(happening.edge)}")

    def _path_of_read(self, wanted: Edge, before: tuple[FailureMode, ...]) -> tuple[Edge, ...] | None:
        """Contacts that fail, then acts, then the read; None if that does not lead to the wanted state."""
        state = self.running.state
        path: list[Edge] = []
        for mode in before:
            fault = self._fault(state, mode)
            if fault is None:
                return None
            path.append(fault)
            state = without_phase(self.network, fault.target)
        acts = self._acts_before(state, wanted)
        if acts is None:
            return None
        path.extend(acts)
        state = without_phase(self.network, path[-1].target) if path else state
        names = {mode.name for mode in before}
        rest = tuple(name for name in wanted.event.faults if name not in names)
        failures = frozenset(mode.index for mode in self._modes(rest))
        again = failures & self.returning
        reads = read_edges(failing_late(self.network), state, failures, len(failures - again), again)
        event = wanted.event._replace(faults=rest)
        read = self._best(wanted._replace(event=event), reads)
        return None if read is None else (*path, read)

    def _acts_before(self, state: State, wanted: Edge) -> tuple[Edge, ...] | None:
        """Acts on those chosen inputs that the run of the controller looks at; others stay as they are."""
        mask, values = wanted.event.chosen
        used = result_of_read(self.network, state, state.seen & ~mask | values).used
        return acts_to_see(self.network, state, mask & used, values)

    def _fault(self, state: State, mode: FailureMode) -> Edge | None:
        edges = free_edges(failing_at_once(self.network), state, frozenset({mode.index}))
        return next((edge for edge in edges if edge.event.faults == (mode.name,)), None)

    def _take_all(self, edges: tuple[Edge, ...]) -> None:
        for edge in edges:
            self.running.take(edge)

    # -- comparing -------------------------------------------------------------------------------------------

    def _compare(self, theirs: State, where: str) -> None:
        difference = self._difference(self.running.state, theirs)
        if difference is not None:
            raise RefusedError(f"{difference} {where}")

    def _difference(self, ours: State, theirs: State) -> str | None:
        """What differs between two states, chosen inputs aside, or None."""
        if ours.memory != theirs.memory:
            return "the controller's memory is not as claimed"
        if (ours.computed, ours.written) != (theirs.computed, theirs.written):
            return "the outputs are not as claimed"
        if (ours.stuck_on, ours.stuck_off) != (theirs.stuck_on, theirs.stuck_off):
            return "the stuck contacts are not as claimed"
        for machine in self.network.machines:
            index = machine.index
            if index not in self.chosen_machines and ours.plant[index] != theirs.plant[index]:
                return f"{machine.name} is {machine.places[ours.plant[index]].label}, not as claimed,"
        return None


def _sentence(edge: Edge) -> str:
    event = edge.event
    faults = f" ({', '.join(event.faults)})" if event.faults else ""
    return (
        f"{event.subject} {event.action}{faults}"
        if event.key != WRITE
        else f"outputs written: {event.action}"
    )
