"""A scenario, run on the concrete machine with real periodic reads."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.event import WRITE
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import ages_pending
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.kernel.start import Start, normal_start
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import format_time
from seqcheck.simulate.chart_machine import ChartMachines
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest, latest
from seqcheck.simulate.edges import read_edges, timed_edges
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.replay import RefusedError
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.running import OvershotError, Running, Window, begin, is_idle, start_at
from seqcheck.simulate.scenario import NOTHING, Kind, Listed, Scenario, Times, fitting, starts_found
from seqcheck.simulate.simulate import simulate

DOES = {Kind.ACT: Does.ACT, Kind.FAILS: Does.FAIL, Kind.REPAIRED: Does.REPAIR}


def run_scenario(network: Network, scenario: Scenario, cross_check: Sequence | None = None) -> Run:
    """The run of a scenario on `network`, built with `choose` and `at_read` off.

    A listed run that cannot go on as listed ends as refused, with the time and the reason in its note. `cross_check`: the
    sequence of the network; each read is then compared with independent charts, which take a time to be over in the instant of its
    end: no reads may be listed before the end of a time in the same instant.
    """
    start = _start(network, scenario)
    if scenario.times is not Times.LISTED:
        chooser = Scripted(_times(scenario), tuple(_intervention(item) for item in scenario.listed))
        return simulate(network, chooser, until_us=scenario.until_us, start=start, cross_check=cross_check)
    charts = ChartMachines(cross_check) if cross_check is not None and scenario.found is None else None
    return _Following(scenario, begin(network, start), charts).run()


def _start(network: Network, scenario: Scenario) -> Start:
    if scenario.found is None:
        return normal_start(network)[0]
    states = starts_found(network, scenario.found)
    return start_at(network, states[min(scenario.found.outcome, len(states) - 1)])


def _times(scenario: Scenario) -> Chooser:
    match scenario.times:
        case Times.EARLIEST:
            return earliest()
        case Times.LATEST:
            return latest()
        case _:
            return Seeded(seed=scenario.seed)


def _intervention(item: Listed) -> Intervention:
    subject, _, action = item.what.partition(" ") if item.kind is Kind.ACT else (item.what, "", "")
    return Intervention(time_us=item.time_us, does=DOES[item.kind], subject=subject, action=action)


@dataclass(slots=True)
class _Following:
    """A listed run under way. Mutable; owned by `run_scenario`."""

    scenario: Scenario
    running: Running
    charts: ChartMachines | None
    failed: set[str] = field(default_factory=set)

    def run(self) -> Run:
        running = self.running
        stop, note = RunStop.REPLAYED, ""
        try:
            for item in self._all():
                self._unlisted(item.time_us - 1)
                running.advance(item.time_us)
                self._happen(item)
            self._unlisted(self.scenario.until_us - 1)
            running.advance(max(self.scenario.until_us, running.now_us))
            self._pass_limits()
        except (RefusedError, InstantLoopError) as refused:
            stop, note = RunStop.REFUSED, f"time {format_time(running.now_us)}: {refused}"
        except OvershotError as overshot:
            stop = RunStop.REFUSED
            note = f"time {format_time(running.now_us)}: the machine brings {overshot}, the scenario does not"
        return Run(
            schedule=running.schedule(),
            noticed=tuple(running.noticed),
            stop=stop,
            end_us=running.now_us,
            note=note,
        )

    def _all(self) -> list[Listed]:
        """What is listed, and the reads that change nothing, in order of time; reads first where the list leaves it open."""
        idle = [Listed(time_us=time_us, kind=Kind.READS, what=NOTHING) for time_us in self.scenario.reads_us]
        return sorted([*idle, *self.scenario.listed], key=lambda item: item.time_us)

    def _unlisted(self, until_us: int) -> None:
        """What is pending, not listed and cannot wait longer than `until_us`, happens at its latest."""
        while True:
            forced = [window for window in self.running.windows() if window.latest_us is not None]
            window = min(forced, key=lambda part: part.latest_us or 0, default=None)
            if window is None or window.latest_us is None or window.latest_us > until_us:
                return
            self.running.advance(max(window.latest_us, self.running.now_us))
            self._fire(window)

    def _pass_limits(self) -> None:
        """In the last instant the limits of monitors pass; what else could happen in it was not listed."""
        running = self.running
        ages = {age.key for age in ages_pending(running.network, running.state.watch)}
        for window in running.windows():
            if window.event.key in ages and window.earliest_us <= running.now_us:
                self._fire(window)

    def _fire(self, window: Window) -> None:
        running = self.running
        running.take(timed_edges(running.network, running.state, window.event)[0])

    def _happen(self, item: Listed) -> None:
        if item.kind is Kind.READS:
            self._read(item)
            return
        running = self.running
        edges = fitting(running.network, running.state, item, frozenset(self.failed))
        due = {window.event.key: window for window in running.windows()}
        possible = [
            edge
            for edge in edges
            if edge.event.key not in due or due[edge.event.key].earliest_us <= running.now_us
        ]
        if not possible:
            raise RefusedError(f"this cannot happen now: {item.kind.value} {item.what}")
        edge = possible[min(item.outcome, len(possible) - 1)]
        running.take(edge)
        self.failed |= set(edge.event.faults)

    def _read(self, item: Listed) -> None:
        running = self.running
        shortest_us, _ = running.read_window()
        if running.now_us < shortest_us:
            raise RefusedError(f"no read comes before {format_time(shortest_us)}")
        self._write_first()
        before = running.state
        edges = fitting(running.network, before, item, frozenset(self.failed)) if item.failures else ()
        found = edges or read_edges(running.network, before)
        edge = found[min(item.outcome, len(found) - 1)]
        if set(edge.event.faults) != set(item.failures):
            raise RefusedError(f"this cannot fail in this read: {', '.join(item.failures)}")
        if is_idle(edge, before):
            running.read_idly()
        else:
            running.take(edge)
            self.failed |= set(edge.event.faults)
        self._compare(before)

    def _write_first(self) -> None:
        """Outputs that are not listed are written by now, before the next read."""
        for window in self.running.windows():
            if window.event.key == WRITE:
                if window.earliest_us > self.running.now_us:
                    raise RefusedError("a read comes before the outputs of the last one are written")
                self._fire(window)

    def _compare(self, before: State) -> None:
        if self.charts is None:
            return
        running = self.running
        note = self.charts.compare(running.network, before, running.state, running.now_us)
        if note:
            raise RefusedError(note)
