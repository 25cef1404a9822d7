"""Failures in layers: first all runs without a failure, then, from where a failure has just happened, all runs with it.

A job is a first failure with all that can follow it; jobs share nothing but the layer without failures, so they spread over
cores. Searching is deterministic: a path found in a job is told by searching that layer again.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial

from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.cover import Cover, layer_of
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.node import Step
from seqcheck.explore.record import Where
from seqcheck.explore.search import Progress, Search, Seed
from seqcheck.explore.summary import Chain, Exploration, summary_of
from seqcheck.explore.time_loop import devices_in_time_loop
from seqcheck.kernel.event import Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import Monitor
from seqcheck.kernel.start import Start, normal_start, starts_anywhere
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Hypothesis

MOST_SHARED = 150_000
"""Network states kept for later layers; about 1 GiB with their edges and tables. More saves little and fills the memory."""


@dataclass(frozen=True, slots=True)
class Path:
    """A run without times: where it starts, and its edges in order."""

    start: State
    edges: tuple[Edge, ...]


Seeds = dict[tuple[int, ...], list[Seed]]
"""Where layers below begin, by the failures that each adds."""

PickWhere = Callable[[Search], Where]
"""Which place of a finished search a path is wanted to."""


@dataclass(slots=True)
class LayeredSearch:
    """Searches the layers of one network under one hypothesis. Mutable: it keeps what its searches share.

    `deadline` is a moment of `time.monotonic()`; limits on classes count all layers of this object together.
    """

    network: Network
    monitors: tuple[Monitor, ...]
    hypothesis: Hypothesis
    start_anywhere: bool = False
    limits: Limits = field(default_factory=Limits)
    deadline: float | None = None
    progress: Progress | None = None
    core: CoreStore | None = None
    store: BoundsStore = field(default_factory=BoundsStore)
    classes: int = 0
    expanded: dict[Chain, int] = field(default_factory=dict)
    covers: bool = False
    _base: Search | None = None
    _cover: Cover | None = None
    _firsts: dict[tuple[int, ...], tuple[Exploration, Seeds]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the shared stores."""
        if self.core is None:
            self.core = CoreStore(self.network)
        if self.covers:
            self._cover = Cover(self.network)

    @property
    def allowed(self) -> frozenset[int]:
        """The failures that the hypothesis allows."""
        named = self.hypothesis.named
        return frozenset(mode.index for mode in self.network.failures if not named or mode.name in named)

    def base(self) -> tuple[Exploration, dict[tuple[int, ...], tuple[Seed, ...]]]:
        """The layer without failures, and the seeds of the jobs."""
        search = self.base_search()
        seeds = {failures: tuple(found) for failures, found in sorted(search.seeds.items())}
        return self._explored(search, ()), seeds

    def job(self, failures: tuple[int, ...], seeds: tuple[Seed, ...]) -> Exploration:
        """All runs in which `failures` come first, from their seeds."""
        if len(failures) < self.hypothesis.count:
            self._explore_firsts()
        return self._below((failures,), seeds)

    def _explore_firsts(self) -> None:
        """The layers of one failure all together, before those of two: they cover one another's runs (see cover.py)."""
        if self._cover is None or self._firsts:
            return
        for failures, seeds in sorted(self.base_search().seeds.items()):
            if len(failures) == 1:
                self._firsts[failures] = self._layer((failures,), tuple(seeds))

    def path(self, chain: Chain, pick: PickWhere) -> Path:
        """The path to the place that `pick` finds in the layer at `chain`; searches the layers on the way again."""
        if sum(len(failures) for failures in chain) > 1:
            self._explore_firsts()
        searches = [self.base_search()]
        for depth in range(len(chain)):
            seeds = tuple(searches[-1].seeds[chain[depth]])
            searches.append(self._retold(chain[: depth + 1], seeds))
        where = pick(searches[-1])
        edges: list[Edge] = []
        for depth in range(len(chain), 0, -1):
            first, found = _trace(searches[depth], where)
            edges[:0] = found
            where = searches[depth - 1].seed_origins[chain[depth - 1]][first]
        first, found = _trace(searches[0], where)
        edges[:0] = found
        return Path(self._starts()[first].state, tuple(edges))

    # -- one layer after the other ---------------------------------------------------------------------------

    def base_search(self) -> Search:
        """The finished search of the layer without failures."""
        if self._base is None:
            search = self._new_search(())
            starts = self._starts()
            search.begin_at(starts)
            self._run(search)
            if self.start_anywhere and len(starts) >= self.limits.starts:
                search.stop = StopReason.STARTS
            self._base = search
            if self._cover is not None:
                self._cover.layers[frozenset()] = layer_of(search)
        return self._base

    def _starts(self) -> tuple[Start, ...]:
        if self.start_anywhere:
            return starts_anywhere(self.network, self.limits.starts)[0]
        return normal_start(self.network)

    def _below(self, chain: Chain, seeds: tuple[Seed, ...]) -> Exploration:
        known = self._firsts.get(chain[0]) if len(chain) == 1 else None
        found, following = known or self._layer(chain, seeds)
        for failures, more in sorted(following.items()):
            if found.stop is not StopReason.FINISHED:
                break
            found = found.merged(self._below((*chain, failures), tuple(more)))
        return found

    def _layer(self, chain: Chain, seeds: tuple[Seed, ...]) -> tuple[Exploration, Seeds]:
        """One layer, and the seeds of those below it, which is all they need of it."""
        search = self._search(chain, seeds)
        found, following = self._explored(search, chain), search.seeds
        if self._cover is not None and following:
            self._cover.layers[frozenset(failure for failures in chain for failure in failures)] = layer_of(search)
        search.forget()
        return found, following

    def _make_room(self) -> None:
        """Before a layer below another: drop what earlier layers have shared, once it is much."""
        assert self.core is not None
        if len(self.core.nodes) > MOST_SHARED:
            self.core.forget()
            self.store.forget()

    def _search(self, chain: Chain, seeds: tuple[Seed, ...]) -> Search:
        self._make_room()
        self.base_search()
        search = self._new_search(chain)
        search.begin_with(seeds)
        self._run(search)
        self.expanded[chain] = search.expanded
        return search

    def _retold(self, chain: Chain, seeds: tuple[Seed, ...]) -> Search:
        """The search of a layer once more, as far as it went the first time."""
        search = self._new_search(chain)
        search.limits, search.is_retold = Limits(), True
        search.most_expanded = self.expanded.get(chain)
        search.begin_with(seeds)
        search.run()
        return search

    def _new_search(self, chain: Chain) -> Search:
        used = frozenset(failure for failures in chain for failure in failures)
        budget = self.hypothesis.count - len(used)
        cover = None
        if self._cover is not None and chain:
            cover = partial(self._cover.classes, failed=used)
        again = frozenset(index for index in used if self.network.failures[index].is_intermittent)
        return Search(
            network=self.network,
            monitors=self.monitors,
            allowed=self.allowed - used if budget > 0 else frozenset(),
            budget=max(budget, 0),
            again=again,
            limits=self._limits_left(),
            progress=self._report,
            notes_parts=not chain,
            cover=cover,
            core=self.core,
            store=self.store,
        )

    def _limits_left(self) -> Limits:
        seconds = None if self.deadline is None else max(0.0, self.deadline - time.monotonic())
        classes = self.limits.classes
        return replace(self.limits, seconds=seconds, classes=None if classes is None else classes - self.classes)

    def _run(self, search: Search) -> None:
        search.run()
        self.classes += len(search.class_nodes)

    def _report(self, classes: int) -> None:
        if self.progress is not None:
            self.progress(self.classes + classes)

    def _explored(self, search: Search, chain: Chain) -> Exploration:
        return Exploration(
            summaries=tuple(summary_of(record, chain) for record in search.records),
            classes=len(search.class_nodes),
            states=len(search.nodes),
            transitions=search.transitions,
            layers=1,
            stop=search.stop,
            instant_loop=search.instant_loop,
            time_loop=devices_in_time_loop(search),
        )


def _trace(search: Search, where: Where) -> tuple[int, list[Edge]]:
    """The number of the start or seed that the path to `where` begins with, and the edges from there."""
    edges: list[Edge] = []
    number, step = where
    while isinstance(step, Step):
        edges.append(step.edge_with_watch)
        number, step = search.parents[number]
    return number, list(reversed(edges))


def chunks(items: list[tuple[int, ...]], count: int) -> Iterator[list[tuple[int, ...]]]:
    """`items` dealt out to at most `count` lists of nearly equal length, in order."""
    for first in range(min(count, len(items))):
        yield items[first::count]
