"""Random runs on the explorer's reduced network, with periodic reads: schedules such as the explorer's witnesses are.

The reduced network has no buttons: a read says which inputs it saw, and a contact fails at the read that
notices it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from seqcheck.kernel.event import FREE, READ, WRITE, Cause, Edge
from seqcheck.kernel.fire import successors
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import pending_events
from seqcheck.kernel.schedule import Happening, Schedule
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import IDLE, State


@dataclass(slots=True)
class ReducedRun:
    network: Network
    random: Random
    failures_left: int
    state: State = field(init=False)
    now_us: int = 0
    read_us: int = 0
    due_us: dict[int, int] = field(default_factory=dict)
    happenings: list[Happening] = field(default_factory=list)
    idle_us: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.state = normal_start(self.network)[0].state
        self._plan_read()
        self._plan(())

    def run(self, events: int) -> Schedule:
        start = self.state
        for _ in range(events):
            self._next()
        return Schedule(
            start=start, happenings=tuple(self.happenings), idle_read_times_us=tuple(self.idle_us)
        )

    def _plan_read(self) -> None:
        network = self.network
        self.read_us = self.now_us + self.random.randint(
            network.shortest_period_us, network.longest_period_us
        )

    def _plan(self, kept: tuple[int, ...]) -> None:
        planned = {}
        for event in pending_events(self.network, self.state):
            if event.key == READ:
                continue
            assert event.latest_us is not None
            fresh_us = self.now_us + self.random.randint(event.earliest_us, event.latest_us)
            if event.key == WRITE:
                fresh_us = min(fresh_us, self.read_us)
            planned[event.key] = self.due_us[event.key] if event.key in kept else fresh_us
        self.due_us = planned

    def _next(self) -> None:
        key, due_us = min(self.due_us.items(), key=lambda item: item[1], default=(READ, self.read_us))
        if due_us > self.read_us:
            key, due_us = READ, self.read_us
        if self.random.random() < 0.05:
            self._act(self.random.randint(self.now_us, due_us))
        elif key == READ:
            self.now_us = due_us
            self._read()
        else:
            self.now_us = due_us
            self._take(self.random.choice(self._edges(key)))

    def _edges(self, key: int) -> list[Edge]:
        allowed = frozenset(mode.index for mode in self.network.failures)
        edges = successors(self.network, self.state, allowed, min(1, self.failures_left))
        return [edge for edge in edges if edge.event.key == key]

    def _act(self, time_us: int) -> None:
        edges = [edge for edge in self._edges(FREE) if edge.event.cause is not Cause.READ]
        if edges:
            self.now_us = time_us
            self._take(self.random.choice(edges))

    def _read(self) -> None:
        is_idle = self.state.scan == IDLE
        edges = [edge for edge in self._edges(FREE if is_idle else READ) if edge.event.cause is Cause.READ]
        self._plan_read()
        if is_idle and (not edges or self.random.random() < 0.9):
            self.idle_us.append(self.now_us)
        else:
            self._take(self.random.choice(edges))

    def _take(self, edge: Edge) -> None:
        self.failures_left -= len(edge.event.faults)
        self.happenings.append(
            Happening(time_us=self.now_us, earliest_us=self.now_us, latest_us=self.now_us, edge=edge)
        )
        self.state = edge.target
        self._plan(edge.kept)
