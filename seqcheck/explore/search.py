"""Breadth-first search over classes: a network state with a table of bounds on what is pending in it.

Order is (operator acts, events), so the first violation found is one with fewest acts, then fewest events; failures come in
layers outside (see layers.py). A class that one already found includes is dropped; every real run stays inside the classes.
"""

from __future__ import annotations

import gc
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from heapq import heappop, heappush

from seqcheck.explore.bounds import Bounds, BoundsStore
from seqcheck.explore.core import CoreNode, CoreStore
from seqcheck.explore.limits import Limits, StopReason, memory_used_mib
from seqcheck.explore.node import Node, Step, recipe_of
from seqcheck.explore.record import Record, Where, measures_of
from seqcheck.kernel.event import Cause, Edge, Event, Mark, Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import Monitor
from seqcheck.kernel.pending import ages_pending, with_ages
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.kernel.start import Start
from seqcheck.kernel.state import State, WatchState
from seqcheck.kernel.watch import Glance, Watch

CHECK_EVERY = 256
"""Classes between looks at the limits: a few milliseconds, so Ctrl-C and limits are felt at once."""

Progress = Callable[[int], None]
FindCover = Callable[[State, tuple[Pending, ...]], tuple[tuple[Bounds, tuple[int, int]], ...]]
"""The classes of other layers that may cover those of a state with these pending events."""
NodeId = tuple[int, tuple[WatchState, ...]]
"""Number of the core node, and the watches."""


@dataclass(frozen=True, slots=True)
class Seed:
    """A class in which a new failure has just happened: where the next layer begins."""

    state: State
    cells: tuple[int, ...]
    marks: tuple[Mark, ...]
    cost: tuple[int, int]


@dataclass(slots=True)
class Search:
    """One search in one layer. Mutable; owned by its caller until `run` returns.

    `allowed` failures may happen `budget` times; where one does, the search leaves a seed in `seeds` and does not go on.
    `again` are intermittent failures of this layer, which cost nothing more. `core` may be shared with other
    searches whose networks differ only in watches. `notes_parts`: note the parts of conditions that are seen; only
    the layer without failures needs them. A search that is told again (`is_retold`) ends after `most_expanded` classes, as
    the first one did, and lets Ctrl-C through.
    """

    network: Network
    monitors: tuple[Monitor, ...]
    allowed: frozenset[int] = frozenset()
    budget: int = 0
    again: frozenset[int] = frozenset()
    limits: Limits = field(default_factory=Limits)
    progress: Progress | None = None
    notes_parts: bool = True
    cover: FindCover | None = None
    core: CoreStore | None = None
    store: BoundsStore = field(default_factory=BoundsStore)
    nodes: dict[NodeId, Node] = field(default_factory=dict)
    class_nodes: list[Node] = field(default_factory=list)
    class_bounds: list[Bounds] = field(default_factory=list)
    parents: list[Where] = field(default_factory=list)
    depths: list[int] = field(default_factory=list)
    acts: list[int] = field(default_factory=list)
    records: list[Record] = field(default_factory=list)
    seeds: dict[tuple[int, ...], list[Seed]] = field(default_factory=dict)
    seed_origins: dict[tuple[int, ...], list[Where]] = field(default_factory=dict)
    stop: StopReason = StopReason.FINISHED
    instant_loop: tuple[str, ...] = ()
    transitions: int = 0
    expanded: int = 0
    most_expanded: int | None = None
    is_retold: bool = False
    _frontier: dict[tuple[int, int], deque[int]] = field(default_factory=dict)
    _costs: list[tuple[int, int]] = field(default_factory=list)
    _failed_nodes: dict[NodeId, Node] = field(default_factory=dict)
    _acts: int = 0
    _sights: dict[int, tuple[Mark, ...]] = field(default_factory=dict)
    _remembering: tuple[tuple[int, Watch], ...] = ()
    _reading: tuple[Watch, ...] = ()
    _seeing: tuple[Watch, ...] = ()
    _read_outputs: int = 0
    _by_positions: bool = False

    def __post_init__(self) -> None:
        """One record a monitor."""
        self.records = [Record(monitor) for monitor in self.monitors]
        watches = self.network.watches
        self._remembering = tuple((index, watch) for index, watch in enumerate(watches) if watch.remembers)
        self._reading = tuple(watch for watch in watches if not watch.remembers)
        self._by_positions = all(watch.by_positions for _, watch in self._remembering)
        self._seeing = tuple(watch for watch in self._reading if not watch.turned_on)
        for watch in self._reading:
            self._read_outputs |= watch.turned_on
        if self.core is None:
            self.core = CoreStore(self.network)

    def begin_at(self, starts: tuple[Start, ...]) -> None:
        """Begin with states in which everything pending has just become so."""
        for number, start in enumerate(starts):
            for mark in start.marks:
                self.records[mark.monitor].note(mark, (), (number, None), (0, 0))
            node = self._node(self.nodes, start.state)
            self._add(node, self.store.initial(node.intervals()), (number, None), (0, 0))

    def begin_with(self, seeds: tuple[Seed, ...]) -> None:
        """Begin where failures have just happened."""
        for number, seed in enumerate(seeds):
            node = self._node(self.nodes, self.network.adopted(seed.state))
            for mark in seed.marks:
                if not measures_of(mark):
                    self.records[mark.monitor].note(mark, (), (number, None), seed.cost)
            self._add(node, self.store.table(len(node.agenda.pending) + 1, seed.cells), (number, None), seed.cost)

    def run(self) -> None:
        """Search until everything is explored or a limit is reached; Ctrl-C stops it and keeps what was found."""
        began = time.monotonic()
        try:
            with collector_paused():
                self._search(began)
        except KeyboardInterrupt:
            if self.is_retold:
                raise
            self.stop = StopReason.INTERRUPTED
        except InstantLoopError as loop:
            self.stop = StopReason.INSTANT_LOOP
            self.instant_loop = loop.devices

    def forget(self) -> None:
        """Let go of nodes and classes: nodes point at one another, and the collector that would find them is paused."""
        for nodes in (self.nodes, self._failed_nodes):
            for node in nodes.values():
                node.steps.clear()
            nodes.clear()
        self.class_nodes.clear()
        self.class_bounds.clear()
        self.parents.clear()

    def _search(self, began: float) -> None:
        most = self.limits.classes
        countdown = 1
        while (number := self._next()) is not None:
            self._expand(number)
            self.expanded += 1
            if self.expanded == self.most_expanded:
                return
            countdown -= 1
            if countdown == 0 or (most is not None and len(self.class_nodes) >= most):
                countdown = CHECK_EVERY
                if self.progress is not None:
                    self.progress(len(self.class_nodes))
                if self._limit_reached(began):
                    return

    def _next(self) -> int | None:
        while self._costs:
            cost = self._costs[0]
            queue = self._frontier[cost]
            if queue:
                self._acts = cost[0]
                return queue.popleft()
            heappop(self._costs)
            del self._frontier[cost]
        return None

    def _limit_reached(self, began: float) -> bool:
        limits = self.limits
        used = memory_used_mib() if limits.memory_mib is not None else None
        if limits.classes is not None and len(self.class_nodes) >= limits.classes:
            self.stop = StopReason.CLASSES
        elif limits.seconds is not None and time.monotonic() - began >= limits.seconds:
            self.stop = StopReason.SECONDS
        elif used is not None and limits.memory_mib is not None and used >= limits.memory_mib:
            self.stop = StopReason.MEMORY
        return self.stop is not StopReason.FINISHED

    def _expand(self, number: int) -> None:
        node, bounds = self.class_nodes[number], self.class_bounds[number]
        if node.numbers[-1] != number and self._is_covered(number, node, bounds):
            return
        known, fire = bounds.fired, self.store.fire_possible
        for row in bounds.possible:
            steps = node.steps[row]
            if steps is None:
                steps = node.steps[row] = self._prepare(node, row)
            for step in steps:
                fired = known.get(step.recipe)
                if fired is None:
                    fired = known[step.recipe] = fire(bounds, step.recipe)
                self.transitions += 1
                if not step.was_taken or step.measured_marks:
                    self._note(step, fired.measures, (number, step))
                after = fired.bounds
                target = step.target
                if after not in target.known:
                    target.known.add(after)
                    if not _is_included(after, target.classes):
                        self._arrive(step, after, (number, step))

    def _is_covered(self, number: int, node: Node, bounds: Bounds) -> bool:
        """Whether a class found later at the same cost includes this one: it will do all that this one would, as soon."""
        numbers, depths, acts = node.numbers, self.depths, self.acts
        depth, act = depths[number], acts[number]
        for place in range(numbers.index(number) + 1, len(numbers)):
            later = numbers[place]
            if depths[later] == depth and acts[later] == act and node.classes[place].includes(bounds):
                return True
        return False

    def _note(self, step: Step, measures: tuple[int, ...], where: Where) -> None:
        cost = (self._acts + step.acts, self.depths[where[0]] + 1)
        if not step.was_taken:
            step.was_taken = True
            for mark in step.plain_marks:
                self.records[mark.monitor].note(mark, (), where, cost)
        first = 0
        for mark in step.measured_marks:
            count = 2 if mark.kind == "ended" else 4
            self.records[mark.monitor].note(mark, measures[first : first + count], where, cost)
            first += count

    def _arrive(self, step: Step, after: Bounds, origin: Where) -> None:
        cost = (self._acts + step.acts, self.depths[origin[0]] + 1)
        if step.failures:
            marks = (*step.plain_marks, *step.measured_marks)
            step.target.classes.append(after)
            seed = Seed(step.target.state, after.cells, marks, cost)
            self.seeds.setdefault(step.failures, []).append(seed)
            self.seed_origins.setdefault(step.failures, []).append(origin)
        elif self.cover is None or not self._is_needless(step.target, after, cost):
            step.target.classes.append(after)
            self._enqueue(step.target, after, origin, cost)

    def _is_needless(self, node: Node, bounds: Bounds, cost: tuple[int, int]) -> bool:
        """Whether another layer has been here, with at least these timings and at no higher cost."""
        assert self.cover is not None
        if node.cover is None:
            node.cover = self.cover(node.state, node.agenda.pending)
        for other, known in node.cover:  # noqa: SIM110  an innermost loop
            if known <= cost and other.includes(bounds):
                return True
        return False

    def _add(self, node: Node, bounds: Bounds, origin: Where, cost: tuple[int, int]) -> None:
        if bounds not in node.known and not _is_included(bounds, node.classes):
            node.known.add(bounds)
            if self.cover is None or not self._is_needless(node, bounds, cost):
                node.classes.append(bounds)
                self._enqueue(node, bounds, origin, cost)

    def _enqueue(self, node: Node, bounds: Bounds, origin: Where, cost: tuple[int, int]) -> None:
        acts, depth = cost
        number = len(self.class_nodes)
        self.class_nodes.append(node)
        self.class_bounds.append(bounds)
        self.parents.append(origin)
        self.depths.append(depth)
        self.acts.append(acts)
        node.numbers.append(number)
        queue = self._frontier.get(cost)
        if queue is None:
            queue = self._frontier[cost] = deque()
            heappush(self._costs, cost)
        queue.append(number)

    # -- nodes -----------------------------------------------------------------------------------------------

    def _node(self, nodes: dict[NodeId, Node], state: State) -> Node:
        assert self.core is not None
        return self._watched_node(nodes, self.core.node(state._replace(watch=())), state.watch)

    def _watched_node(
        self, nodes: dict[NodeId, Node], core: CoreNode, watch: tuple[WatchState, ...]
    ) -> Node:
        identity = (core.number, watch)
        node = nodes.get(identity)
        if node is None:
            agenda = with_ages(self.network, core.agenda, watch) if watch else core.agenda
            node = nodes[identity] = Node(len(nodes), core, watch, agenda)
        return node

    def _prepare(self, node: Node, row: int) -> tuple[Step, ...]:
        assert self.core is not None
        if row > len(node.core.agenda.pending):
            return (self._age_passes(node, node.agenda.pending[row - 1].key),)
        edges = self.core.edges(node.core, row - 1, (self.allowed, self.budget, self.again))
        return tuple([self._step(node, edge, target) for edge, target in edges])

    def _age_passes(self, node: Node, key: int) -> Step:
        subject, moment = self.network.event_names[key]
        event = Event(Cause.AGE, key, subject, moment)
        return self._step(node, Edge(event, node.core.state, node.core.agenda.keys, (), ()), node.core)

    def _step(self, node: Node, edge: Edge, target_core: CoreNode) -> Step:
        watch, marks, kept = self._watch(node, edge, target_core)
        failures = self._new_failures(edge) if edge.event.faults else ()
        target = self._watched_node(self._failed_nodes if failures else self.nodes, target_core, watch)
        key = edge.event.key
        measured = tuple(filter(measures_of, marks)) if marks else ()
        recipe = recipe_of(self.store, node.agenda, key, target.agenda, kept, measured)
        step = Step(edge, target, recipe, kept, marks, failures)
        step.stops_time = recipe.fired != 0 and node.agenda.pending[recipe.fired - 1].latest_us == 0
        return step

    def _watch(
        self, node: Node, edge: Edge, target: CoreNode
    ) -> tuple[tuple[WatchState, ...], tuple[Mark, ...], tuple[int, ...]]:
        """The watches after an edge, all that they noticed, and the keys of what goes on counting."""
        event = edge.event
        marks = self._sights.get(target.number)
        if marks is None:
            marks = self._sights[target.number] = self._sight(target.state)
        turned_on = target.state.control.computed & ~node.core.state.control.computed & self._read_outputs
        if not turned_on and (not self._remembering or self._sees_nothing(node, edge, target)):
            return node.watch, marks, edge.kept
        is_read = event.cause is Cause.READ
        over = event.key if event.cause is Cause.AGE else 0
        glance = Glance(node.core.state, target.state, edge.entered, is_read, over)
        if turned_on and is_read:
            reading = (watch for watch in self._reading if watch.turned_on & turned_on)
            marks += tuple(mark for watch in reading for mark in watch.look(0, glance)[1])
        if not self._remembering:
            return node.watch, marks, edge.kept
        following = list(node.watch)
        restarted: tuple[int, ...] = ()
        for index, watch in self._remembering:
            following[index], noticed, anew = watch.look(following[index], glance)
            marks += noticed
            restarted += anew
        running = {age.key for age in ages_pending(self.network, node.watch)}
        still = tuple(
            age.key
            for age in ages_pending(self.network, tuple(following))
            if age.key in running and age.key not in restarted and age.key != event.key
        )
        return tuple(following), marks, edge.kept + still

    def _sees_nothing(self, node: Node, edge: Edge, target: CoreNode) -> bool:
        """Whether no watch that remembers can notice anything: none counts, and none looks at anything that has changed."""
        if not self._by_positions or any(node.watch) or edge.event.cause is Cause.AGE:
            return False
        return target.state.positions is node.core.state.positions

    def _sight(self, state: State) -> tuple[Mark, ...]:
        """What is bad in a state that is being reached; the parts of conditions seen in it are noted at once."""
        if not self.notes_parts:
            return tuple([Mark(watch.index, "bad") for watch in self._seeing if watch.is_bad(state)])
        bad = []
        for watch in self._reading:
            for mark in watch.sight(state):
                if mark.kind == "part":
                    self.records[mark.monitor].parts.add(mark.part)
                else:
                    bad.append(mark)
        return tuple(bad)

    def _new_failures(self, edge: Edge) -> tuple[int, ...]:
        modes = (self.network.failure_named(name) for name in edge.event.faults)
        return tuple(sorted(mode.index for mode in modes if mode is not None and mode.index not in self.again))


@contextmanager
def collector_paused() -> Iterator[None]:
    """Without the cyclic garbage collector: a search keeps what it makes, and looking through it costs a third of the time."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def _is_included(bounds: Bounds, classes: list[Bounds]) -> bool:
    total = bounds.total
    for other in classes:  # noqa: SIM110  the innermost loop of all; a generator doubles its cost
        if other.total >= total and other.includes(bounds):
            return True
    return False
