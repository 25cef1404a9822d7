"""The concrete engine: one run with chosen times.

Every pending event is given its time when it becomes pending; reads come periodically, whether or not they
change anything; time goes to whatever is due first. In one instant timers come before everything else and
reads last.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.event import WRITE, Edge, Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.kernel.start import Start, normal_start
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.chart_machine import ChartMachines
from seqcheck.simulate.chooser import Chooser
from seqcheck.simulate.edges import read_edges, timed_edges
from seqcheck.simulate.physical_acts import PhysicalActs
from seqcheck.simulate.physical_data import PhysicalData
from seqcheck.simulate.physics import Draw, Physics
from seqcheck.simulate.quick_run import owned_keys, within
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.running import OvershotError, Running, Window, begin, is_idle
from seqcheck.simulate.segment import S_PER_US
from seqcheck.simulate.view import view_of

MOST_EVENTS = 100_000
"""Events and reads in one run unless told: some minutes of a machine, some seconds of ours."""


def simulate(
    network: Network,
    chooser: Chooser,
    *,
    until_us: int,
    most_events: int = MOST_EVENTS,
    start: Start | None = None,
    cross_check: Sequence | None = None,
    data: PhysicalData | None = None,
    physics: Physics | None = None,
    diameters_m: tuple[float, ...] = (),
) -> Run:
    """One run of `network`, built with `choose` and `at_read` off, from `start` (default: the normal start).

    `cross_check`: the sequence of the network; each read is then compared with independent charts
    (chart_machine.py). `data`: the numbers of the machine; ends of ramps, levels, ends of rolls and a break of the web then come
    from the physics. `physics`: where the machine is at the start, if it is not found at rest. `diameters_m`: of the rolls at
    the start (default: new).
    """
    running = begin(network, start if start is not None else normal_start(network)[0])
    charts = ChartMachines(cross_check) if cross_check is not None else None
    acting = None
    if data is not None:
        physics = physics or Physics(data, view_of(data, running.state), drawn_by(chooser))
        acting = PhysicalActs(network, physics, diameters_m)
    return _Simulation(running, chooser, until_us, most_events, charts, physics, acting).run()


def drawn_by(chooser: Chooser) -> Draw:
    """What the physics draws, as `chooser` chooses times."""

    def draw(least: int, most: int) -> int:
        value = chooser.due_us(least, most)
        assert value is not None and least <= value <= most
        return value

    return draw


@dataclass(slots=True)
class _Simulation:
    """A simulation under way. Mutable; owned by `simulate`.

    `plans` holds for each key (pending since, due).
    """

    running: Running
    chooser: Chooser
    until_us: int
    most_events: int
    charts: ChartMachines | None
    physics: Physics | None = None
    acting: PhysicalActs | None = None
    owned: frozenset[int] = frozenset()
    disagreements: list[str] = field(default_factory=list)
    plans: dict[int, tuple[int, int | None]] = field(default_factory=dict)
    read_us: int = 0
    missed: list[str] = field(default_factory=list)
    note: str = ""
    is_quiet: bool = False

    def run(self) -> Run:
        if self.physics is not None:
            self.owned = owned_keys(self.physics)
        self._plan_read()
        try:
            stop = self._go_on()
        except InstantLoopError as loop:
            stop, self.note = RunStop.INSTANT_LOOP, str(loop)
        except OvershotError as overshot:
            stop, self.note = RunStop.TIME_LOCK, str(overshot)
        running = self.running
        if self.physics is not None:
            self.physics.advance(running.now_us * S_PER_US)
        return Run(
            schedule=running.schedule(),
            motion=None if self.acting is None else self.acting.record(),
            disagreements=tuple(self.disagreements),
            noticed=tuple(running.noticed),
            stop=stop,
            end_us=running.now_us,
            missed=tuple(self.missed),
            note=self.note,
        )

    def _go_on(self) -> RunStop:
        for _ in range(self.most_events):
            due = self._next_due()
            interference_us = self.chooser.next_intervention_us()
            physical_us = None if self.acting is None else self.acting.next_us(self.running.state)
            times = [
                time for time in (interference_us, physical_us, due[0] if due else None) if time is not None
            ]
            if not times or (self.is_quiet and interference_us is None and physical_us is None):
                return RunStop.QUIET
            if min(times) > self.until_us:
                self.running.advance(self.until_us)
                return RunStop.UNTIL
            self.running.advance(max(min(times), self.running.now_us))
            if interference_us is not None and interference_us == min(times):
                self._interfere()
            elif physical_us is not None and physical_us == min(times):
                self._act_physically()
            elif due is not None:
                self._fire(due[1])
            if self.note:
                return RunStop.DISAGREEMENT
        return RunStop.EVENTS

    # -- what is due -----------------------------------------------------------------------------------------

    def _next_due(self) -> tuple[int, Window | None] | None:
        """The time and the event that come next; no window stands for the read."""
        windows = self.running.windows()
        due: list[tuple[int, int, int, Window | None]] = []
        for order, window in enumerate(windows):
            time_us = self._planned(window)
            if time_us is not None:
                due.append((time_us, int(window.event.key == WRITE), order, window))
        if self.running.has_reads:
            due.append((self._read_due_us(due), 2, 0, None))
        first = min(due, key=lambda item: item[:3], default=None)
        return None if first is None else (first[0], first[3])

    def _planned(self, window: Window) -> int | None:
        key = window.event.key
        since_us = self.running.since_us[key]
        if key in self.owned:
            return self._physical_us(window.event, since_us)
        plan = self.plans.get(key)
        if plan is None or plan[0] != since_us:
            latest_us = window.latest_us
            if key == WRITE and latest_us is not None:
                latest_us = min(latest_us, self.running.read_window()[1])
            plan = self.plans[key] = (since_us, self._chosen(window.earliest_us, latest_us))
        return plan[1]

    def _physical_us(self, event: Pending, since_us: int) -> int | None:
        """When the physics brings the event about; a time outside its range is noted, and the range kept to."""
        assert self.physics is not None
        due_us, note = within(self.physics.due_us(event.key), event, since_us, self.running.now_us)
        sentence = f"{self.running.name_of(event)} {note}"
        if note and sentence not in self.disagreements:
            self.disagreements.append(sentence)
        return due_us

    def _chosen(self, earliest_us: int, latest_us: int | None) -> int | None:
        if latest_us is not None and latest_us < earliest_us:
            raise OvershotError("outputs cannot be written before the next read must take place")
        time_us = self.chooser.due_us(earliest_us, latest_us)
        assert time_us is None or earliest_us <= time_us
        assert latest_us is None or (time_us is not None and time_us <= latest_us)
        return time_us

    def _plan_read(self) -> None:
        earliest_us, latest_us = self.running.read_window()
        self.read_us = self.chooser.read_us(earliest_us, latest_us)
        assert earliest_us <= self.read_us <= latest_us

    def _read_due_us(self, due: list[tuple[int, int, int, Window | None]]) -> int:
        """The read waits for the write of the read before it."""
        return max([self.read_us, *(item[0] for item in due if item[1] == 1)])

    # -- what happens ----------------------------------------------------------------------------------------

    def _interfere(self) -> None:
        edge, missed = self.chooser.intervene(self.running.network, self.running.state)
        if missed:
            self.missed.append(missed)
        if edge is not None:
            self._take(edge)
            self.is_quiet = False

    def _act_physically(self) -> None:
        assert self.acting is not None
        edge = self.acting.act(self.running.state)
        if edge is not None:
            self._take(edge)
            self.is_quiet = False

    def _take(self, edge: Edge) -> None:
        self.running.take(edge)
        if self.physics is not None:
            self.physics.take(view_of(self.physics.data, self.running.state), self.running.now_us)

    def _fire(self, window: Window | None) -> None:
        if window is None:
            self._read()
            return
        running = self.running
        self.plans.pop(window.event.key, None)
        allowed = self.chooser.allowed_failures(running.network)
        edges = timed_edges(running.network, running.state, window.event, allowed)
        self._take(self.chooser.outcome(edges))
        self.is_quiet = False

    def _read(self) -> None:
        running = self.running
        before = running.state
        allowed = self.chooser.allowed_failures(running.network)
        edges = read_edges(running.network, before, allowed, 1 if allowed else 0)
        edge = edges[0]
        if is_idle(edge, before):
            running.read_idly()
            self.is_quiet = all(self._planned(window) is None for window in running.windows())
        else:
            edge = self.chooser.outcome(edges)
            self._take(edge)
        if self.charts is not None:
            self.note = self.charts.compare(running.network, before, edge.target, running.now_us)
        self._plan_read()
