"""How the times of a run are chosen, always inside each event's earliest and latest.

A chooser serves one run: it may remember how far it has come.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Protocol

from seqcheck.kernel.event import FREE, Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.simulate.edges import free_edges
from seqcheck.simulate.interventions import Intervention, edge_for

UNFORCED_US = 10 * MICROSECONDS_PER_SECOND
"""How much later than its earliest time an event that nothing forces may be drawn: long beside motions."""


class Chooser(Protocol):
    """What a simulation asks."""

    def due_us(self, earliest_us: int, latest_us: int | None) -> int | None:
        """When an event that has just become pending fires, in absolute time.

        None: it does not, which is possible only if nothing forces it (`latest_us` None).
        """

    def read_us(self, earliest_us: int, latest_us: int) -> int:
        """When the next periodic read takes place, in absolute time."""

    def allowed_failures(self, network: Network) -> frozenset[int]:
        """The failures that may make the next event go otherwise."""

    def outcome(self, edges: tuple[Edge, ...]) -> Edge:
        """Which outcome an event has; the healthy one is first."""

    def next_intervention_us(self) -> int | None:
        """When somebody or something interferes next, or None."""

    def intervene(self, network: Network, state: State) -> tuple[Edge | None, str]:
        """What happens then: the edge, or None and what could not be done (empty: nothing was to be done)."""


def _forced(time_us: int | None) -> int:
    """The time of what has a latest time."""
    assert time_us is not None, "what has a latest time happens"
    return time_us


@dataclass(frozen=True, slots=True)
class _Bound:
    """Every event at one end of its range; nothing interferes."""

    pick: Callable[[int, int | None], int | None]

    def due_us(self, earliest_us: int, latest_us: int | None) -> int | None:
        """That end."""
        return self.pick(earliest_us, latest_us)

    def read_us(self, earliest_us: int, latest_us: int) -> int:
        """That end."""
        return _forced(self.pick(earliest_us, latest_us))

    def allowed_failures(self, network: Network) -> frozenset[int]:
        """None."""
        del network
        return frozenset()

    def outcome(self, edges: tuple[Edge, ...]) -> Edge:
        """The healthy one."""
        return edges[0]

    def next_intervention_us(self) -> int | None:
        """Never."""
        return None

    def intervene(self, network: Network, state: State) -> tuple[Edge | None, str]:
        """Nothing."""
        del network, state
        return None, ""


def earliest() -> Chooser:
    """Every event as soon as it may."""
    return _Bound(lambda earliest_us, _latest_us: earliest_us)


def latest() -> Chooser:
    """Every event as late as it may; what nothing forces does not happen."""
    return _Bound(lambda _earliest_us, latest_us: latest_us)


@dataclass(slots=True)
class Scripted:
    """Times as `times` chooses them; interventions at their named times.

    Mutable: it knows how far the script has come.
    """

    times: Chooser
    script: tuple[Intervention, ...]
    _next: int = 0

    def __post_init__(self) -> None:
        """Put the script in order of time."""
        self.script = tuple(sorted(self.script, key=lambda item: item.time_us))

    def due_us(self, earliest_us: int, latest_us: int | None) -> int | None:
        """As the other chooser says."""
        return self.times.due_us(earliest_us, latest_us)

    def read_us(self, earliest_us: int, latest_us: int) -> int:
        """As the other chooser says."""
        return self.times.read_us(earliest_us, latest_us)

    def allowed_failures(self, network: Network) -> frozenset[int]:
        """As the other chooser says."""
        return self.times.allowed_failures(network)

    def outcome(self, edges: tuple[Edge, ...]) -> Edge:
        """As the other chooser says."""
        return self.times.outcome(edges)

    def next_intervention_us(self) -> int | None:
        """The next time in the script, or the other chooser's if that is sooner."""
        times = [
            time for time in (self._scripted_us(), self.times.next_intervention_us()) if time is not None
        ]
        return min(times, default=None)

    def _scripted_us(self) -> int | None:
        return self.script[self._next].time_us if self._next < len(self.script) else None

    def intervene(self, network: Network, state: State) -> tuple[Edge | None, str]:
        """What the script says, or the other chooser."""
        scripted_us = self._scripted_us()
        if scripted_us is None or scripted_us != self.next_intervention_us():
            return self.times.intervene(network, state)
        wanted = self.script[self._next]
        self._next += 1
        edge = edge_for(network, state, wanted)
        return edge, "" if edge is not None else wanted.text


@dataclass(slots=True, kw_only=True)
class Seeded:
    """Random times, acts and failures, the same for the same seed. Mutable: it owns its random numbers.

    `act_gap_us`: an act of the operator or the surroundings comes after a random time in this range, again
    and again; None: nobody acts. `failure_probability`: at each event and act, that one of `failures` (names;
    None: any) happens with it, as long as there are fewer than `most_failures`.
    """

    seed: int
    act_gap_us: tuple[int, int] | None = None
    failure_probability: float = 0.0
    failures: tuple[str, ...] | None = None
    most_failures: int = 1
    _random: Random = field(default_factory=Random)
    _failed: int = 0
    _next_us: int | None = None

    def __post_init__(self) -> None:
        """Start the random numbers."""
        self._random = Random(self.seed)
        self._plan_intervention(0)

    def due_us(self, earliest_us: int, latest_us: int | None) -> int | None:
        """Any time of the range, ends as likely as all between: mistakes sit at ends."""
        if latest_us is None:
            return (
                None if self._random.random() < 0.25 else earliest_us + self._random.randint(0, UNFORCED_US)
            )
        draw = self._random.random()
        if draw < 0.25:
            return earliest_us
        return latest_us if draw < 0.5 else self._random.randint(earliest_us, latest_us)

    def read_us(self, earliest_us: int, latest_us: int) -> int:
        """Likewise."""
        return _forced(self.due_us(earliest_us, latest_us))

    def allowed_failures(self, network: Network) -> frozenset[int]:
        """Mostly none; by chance all that may happen."""
        if self._failed >= self.most_failures or self._random.random() >= self.failure_probability:
            return frozenset()
        return frozenset(
            mode.index for mode in network.failures if self.failures is None or mode.name in self.failures
        )

    def outcome(self, edges: tuple[Edge, ...]) -> Edge:
        """Any; a failure in it counts."""
        edge = self._random.choice(edges)
        self._failed += len(edge.event.faults)
        return edge

    def next_intervention_us(self) -> int | None:
        """The next random time."""
        return self._next_us

    def _plan_intervention(self, now_us: int) -> None:
        self._next_us = None if self.act_gap_us is None else now_us + self._random.randint(*self.act_gap_us)

    def intervene(self, network: Network, state: State) -> tuple[Edge | None, str]:
        """Any act that is possible, or by chance a failure that shows."""
        assert self._next_us is not None
        self._plan_intervention(self._next_us)
        allowed = self.allowed_failures(network)
        edges = [edge for edge in free_edges(network, state, allowed) if edge.event.key == FREE]
        if allowed:
            edges = [edge for edge in edges if edge.event.faults] or edges
        edges = [edge for edge in edges if edge.event.cause is not Cause.REPAIR]
        return (self.outcome(tuple(edges)) if edges else None), ""
