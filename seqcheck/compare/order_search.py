"""What one sequence can do and another cannot: a search for the shortest order of seen events that only the leader has.

The leader goes through its state classes one event at a time; beside it goes the set of all classes in which the follower may be
after the same seen events (the subset construction of automata theory, from memory). Where the leader can show an event
that no class of that set can, the path to it tells the two apart. Both networks are without failures and without reductions.

Each side has times of its own: what is compared is whether an order of events can happen at all, in whatever times each side
allows. Order of search is (acts, events), so the first difference has the fewest acts of people, then the fewest events.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from heapq import heappop, heappush

from seqcheck.compare.observed import Observed, observed
from seqcheck.explore.bounds import Bounds, BoundsStore
from seqcheck.explore.core import FREE_EVENTS, CoreNode, CoreStore
from seqcheck.explore.layers import Path
from seqcheck.explore.node import interval, recipe_of
from seqcheck.kernel.event import FREE, Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.start import normal_start

NOTHING_FAILS = (frozenset[int](), 0, frozenset[int]())

MOST_SILENT = 2_000
"""Classes that events nobody sees may lead to at once; a real controller settles after a handful."""


@dataclass(frozen=True, slots=True, eq=False)
class StateClass:
    """A state class: a network state and the times left of what is pending in it. One object for each, compared by identity."""

    node: CoreNode
    bounds: Bounds


Link = tuple[Edge, StateClass]


@dataclass(slots=True)
class Side:
    """One of the two networks. Mutable: it remembers the links of its classes."""

    network: Network
    bounds: BoundsStore
    core: CoreStore = field(init=False)
    _known: dict[tuple[int, Bounds], StateClass] = field(default_factory=dict)
    _links: dict[StateClass, tuple[tuple[Observed | None, Edge, StateClass], ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the store of states."""
        self.core = CoreStore(self.network)

    def starts(self) -> tuple[StateClass, ...]:
        """Where runs begin."""
        return tuple(self._start(self.core.node(start.state)) for start in normal_start(self.network))

    def _start(self, node: CoreNode) -> StateClass:
        return self._class(node, self.bounds.initial(tuple(interval(event) for event in node.agenda.pending)))

    def links(self, at: StateClass) -> tuple[tuple[Observed | None, Edge, StateClass], ...]:
        """Everything that can happen next, with what is seen of it."""
        known = self._links.get(at)
        if known is None:
            known = self._links[at] = tuple(self._find_links(at))
        return known

    def _find_links(self, at: StateClass) -> Iterator[tuple[Observed | None, Edge, StateClass]]:
        agenda = at.node.agenda
        for row in at.bounds.possible:
            index, key = (FREE_EVENTS, FREE) if row == 0 else (row - 1, agenda.pending[row - 1].key)
            for edge, target in self.core.edges(at.node, index, NOTHING_FAILS):
                recipe = recipe_of(self.bounds, agenda, key, target.agenda, edge.kept, ())
                after = self.bounds.fire_possible(at.bounds, recipe).bounds
                yield observed(self.network, at.node.state, edge), edge, self._class(target, after)

    def _class(self, node: CoreNode, bounds: Bounds) -> StateClass:
        return self._known.setdefault((node.number, bounds), StateClass(node, bounds))


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderDifference:
    """An order of events that only the leader has: `path` in its network, `seen` its last event, `instead` what the follower can
    show at that point that nobody does by hand."""

    path: Path
    seen: Observed
    instead: tuple[Observed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLimits:
    """How far to search: pairs of a class and a set of classes, and seconds."""

    pairs: int = 20_000
    seconds: float = 30.0


@dataclass(frozen=True, slots=True)
class _Pair:
    """Where the leader is, where the follower may be, and how it came about."""

    leader: StateClass
    follower: frozenset[StateClass]
    parent: int | None
    edge: Edge | None
    acts: int
    events: int


@dataclass(slots=True)
class OrderSearch:
    """One direction of a comparison. Mutable; owned by its caller.

    After the differences have been asked for: `is_complete` says that every pair was looked at; else runs with fewer than
    `acts_covered` acts have been.
    """

    leader: Side
    follower: Side
    limits: OrderLimits
    is_complete: bool = False
    acts_covered: int = 0
    _pairs: list[_Pair] = field(default_factory=list)
    _waiting: list[tuple[int, int, int]] = field(default_factory=list)
    _been: dict[tuple[int, frozenset[StateClass]], list[Bounds]] = field(default_factory=dict)
    _closures: dict[frozenset[StateClass], tuple[StateClass, ...]] = field(default_factory=dict)
    _cut: set[frozenset[StateClass]] = field(default_factory=set)

    def differences(self) -> Iterator[OrderDifference]:
        """The differences, those with the fewest acts and events first; behind one the search does not go on."""
        began = time.monotonic()
        everywhere = frozenset(self.follower.starts())
        for start in self.leader.starts():
            self._add(_Pair(start, everywhere, None, None, 0, 0))
        while self._waiting:
            acts, _, number = heappop(self._waiting)
            self.acts_covered = acts
            yield from self._expand(number)
            if len(self._pairs) >= self.limits.pairs or time.monotonic() - began >= self.limits.seconds:
                self.is_complete = not self._waiting and not self._cut
                return
        self.is_complete = not self._cut

    def _expand(self, number: int) -> Iterator[OrderDifference]:
        pair = self._pairs[number]
        for seen, edge, target in self.leader.links(pair.leader):
            follower = pair.follower if seen is None else self._after(pair.follower, seen)
            if seen is not None and not follower:
                if pair.follower in self._cut:
                    continue  # what was not looked at might have shown it too
                yield OrderDifference(path=self._path(number, edge), seen=seen, instead=self._instead(pair.follower))
                continue
            acts = pair.acts + (edge.event.cause is Cause.ACT)
            self._add(_Pair(target, follower, number, edge, acts, pair.events + 1))

    def _add(self, pair: _Pair) -> None:
        been = self._been.setdefault((pair.leader.node.number, pair.follower), [])
        if any(other.includes(pair.leader.bounds) for other in been):
            return
        been.append(pair.leader.bounds)
        heappush(self._waiting, (pair.acts, pair.events, len(self._pairs)))
        self._pairs.append(pair)

    def _after(self, classes: frozenset[StateClass], wanted: Observed) -> frozenset[StateClass]:
        found = {
            target
            for at in self._closure(classes)
            for seen, _, target in self.follower.links(at)
            if seen == wanted
        }
        return frozenset(_largest(found))

    def _closure(self, classes: frozenset[StateClass]) -> tuple[StateClass, ...]:
        """The classes, and all that events nobody sees lead to from them."""
        known = self._closures.get(classes)
        if known is None:
            known = self._closures[classes] = tuple(self._find_closure(classes))
        return known

    def _find_closure(self, classes: frozenset[StateClass]) -> list[StateClass]:
        found = sorted(classes, key=lambda part: part.node.number)
        been = set(found)
        for at in found:
            for seen, _, target in self.follower.links(at):
                if seen is not None or target in been:
                    continue
                if len(found) >= MOST_SILENT:
                    self._cut.add(classes)
                    return found
                been.add(target)
                found.append(target)
        return found

    def _instead(self, classes: frozenset[StateClass]) -> tuple[Observed, ...]:
        links = [link for at in self._closure(classes) for link in self.follower.links(at)]
        return tuple(sorted({seen for seen, edge, _ in links if seen is not None and edge.event.cause is not Cause.ACT}))

    def _path(self, number: int | None, last: Edge) -> Path:
        edges = [last]
        start = last.target
        while number is not None:
            pair = self._pairs[number]
            start = pair.leader.node.state
            if pair.edge is not None:
                edges.append(pair.edge)
            number = pair.parent
        return Path(start, tuple(reversed(edges)))


def _largest(classes: set[StateClass]) -> list[StateClass]:
    """The classes without those that another one of the same state includes: what it can do, that one can."""
    return [
        part
        for part in classes
        if not any(
            other is not part and other.node is part.node and other.bounds.includes(part.bounds) for other in classes
        )
    ]
