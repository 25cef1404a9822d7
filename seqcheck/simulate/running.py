"""A run under way: the state, the time, and since when each pending event has been pending.

The picture: a stopwatch beside every motion, timer and written output, and one clock on the wall. Time may
pass only as far as the first event that cannot wait any longer.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.event import WRITE, Cause, Edge, Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Happening, Schedule
from seqcheck.kernel.settled import watched
from seqcheck.kernel.start import Start
from seqcheck.kernel.state import State
from seqcheck.kernel.watch import Glance
from seqcheck.quantities.time import format_time
from seqcheck.simulate.edges import pending_of, without_phase
from seqcheck.simulate.measures import Noticed, noticed


class OvershotError(Exception):
    """Time was to pass beyond the latest moment of something pending; the text says what and when."""


@dataclass(frozen=True, slots=True)
class Window:
    """A pending event with the absolute times between which it fires; `latest_us` None: nothing forces it."""

    event: Pending
    earliest_us: int
    latest_us: int | None


@dataclass(slots=True)
class Running:
    """A run so far. Mutable; owned by one simulation or replay, which gives out frozen results at the end."""

    network: Network
    state: State
    start: State
    now_us: int = 0
    last_read_us: int = 0
    since_us: dict[int, int] = field(default_factory=dict)
    pending: tuple[Pending, ...] = ()
    happenings: list[Happening] = field(default_factory=list)
    idle_reads_us: list[int] = field(default_factory=list)
    noticed: list[Noticed] = field(default_factory=list)

    @property
    def has_reads(self) -> bool:
        """Whether a controller runs; under a controller fault none does."""
        return not self.network.options.controller_fault

    def windows(self) -> tuple[Window, ...]:
        """What time will bring, but for reads, and when."""
        return tuple(self._window(event) for event in self.pending)

    def _window(self, event: Pending) -> Window:
        since_us = self.since_us[event.key]
        latest_us = None if event.latest_us is None else since_us + event.latest_us
        return Window(event, since_us + event.earliest_us, latest_us)

    def read_window(self) -> tuple[int, int]:
        """The absolute times between which the next periodic read takes place."""
        network = self.network
        return self.last_read_us + network.shortest_period_us, self.last_read_us + network.longest_period_us

    def writes_first(self) -> bool:
        """Whether outputs wait to be written, so that no read may take place yet."""
        return any(event.key == WRITE for event in self.pending)

    def advance(self, to_us: int) -> None:
        """Let time pass. Raises OvershotError if something pending cannot wait so long."""
        if to_us < self.now_us:
            raise OvershotError(
                f"time cannot run back from {format_time(self.now_us)} to {format_time(to_us)}"
            )
        for window in self.windows():
            if window.latest_us is not None and window.latest_us < to_us:
                raise OvershotError(f"{self.name_of(window.event)} by {format_time(window.latest_us)}")
        if self.has_reads and self.read_window()[1] < to_us:
            raise OvershotError(f"a read by {format_time(self.read_window()[1])}")
        self.now_us = to_us

    def name_of(self, event: Pending) -> str:
        """A pending event in words."""
        if event.key == WRITE:
            return "outputs written"
        return " ".join(self.network.event_names.get(event.key, ("event", str(event.key))))

    def take(self, edge: Edge, earliest_us: int | None = None, latest_us: int | None = None) -> None:
        """Follow an edge now.

        The two times are the freedom that whoever planned the run knows of; default: none.
        """
        now_us = self.now_us
        self.noticed.extend(noticed(mark, self.since_us, now_us) for mark in edge.marks)
        self.state = without_phase(self.network, edge.target)
        self.pending = pending_of(self.network, self.state)
        kept = set(edge.kept)
        self.since_us = {
            event.key: self.since_us.get(event.key, now_us) if event.key in kept else now_us
            for event in self.pending
        }
        if edge.event.cause is Cause.READ:
            self.last_read_us = now_us
        self.happenings.append(
            Happening(
                time_us=now_us,
                earliest_us=now_us if earliest_us is None else earliest_us,
                latest_us=now_us if earliest_us is None else latest_us,
                edge=edge._replace(target=self.state),
            )
        )

    def read_idly(self) -> None:
        """A periodic read that changes nothing."""
        self.last_read_us = self.now_us
        self.idle_reads_us.append(self.now_us)

    def schedule(self) -> Schedule:
        """The run so far in the form both engines speak."""
        return Schedule(
            start=self.start,
            happenings=tuple(self.happenings),
            idle_read_times_us=tuple(self.idle_reads_us),
        )


def begin(network: Network, start: Start) -> Running:
    """A run about to begin: everything pending has just become so."""
    state = without_phase(network, start.state)
    running = Running(network, state, state)
    running.pending = pending_of(network, state)
    running.since_us = {event.key: 0 for event in running.pending}
    running.noticed = [noticed(mark, running.since_us, 0) for mark in start.marks]
    return running


def start_at(network: Network, state: State) -> Start:
    """The start whose state is `state`, with what the network's monitors notice in it."""
    bare = state._replace(watch=tuple(watch.start() for watch in network.watches))
    watching, marks, _ = watched(network, bare, Glance(None, bare, (), False, 0))
    return Start(watching, marks)


def is_idle(edge: Edge, state: State) -> bool:
    """Whether a read changed neither memory, outputs nor steps."""
    unchanged = edge.target.memory == state.memory and edge.target.computed == state.computed
    return edge.event.cause is Cause.READ and unchanged and not edge.entered
