"""The one exploration that the tables of a review share: all runs without a failure, and where each failure can happen.

From there each table goes its own way: the matrix to every state with one failure, the fault table and cause and effect to
what follows when nobody acts any more (the *quiet* network, in which acts are left out and all else is the same).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import islice

from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.cover import Cover, Layer, layer_of
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.node import Step
from seqcheck.explore.search import Search, Seed
from seqcheck.explore.time_loop import steps_taken
from seqcheck.kernel.build import build_core
from seqcheck.kernel.event import Edge
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Given, Sequence

NOBODY = Given(allowed=())
"""Nobody acts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Begin:
    """A class in which something has just happened: the state before it, the edge, and the class after it."""

    before: State
    edge: Edge
    seed: Seed


@dataclass(slots=True)
class Exploration:
    """The exploration of one sequence. Mutable: it keeps what later searches share.

    `faults` 0: no failure happens anywhere.
    """

    sequence: Sequence
    network: Network
    quiet: Network
    core: CoreStore
    quiet_core: CoreStore
    store: BoundsStore
    base: Search
    limits: Limits

    @property
    def is_complete(self) -> bool:
        """Whether all runs without a failure were explored."""
        return self.base.stop is StopReason.FINISHED

    def failure_begins(self) -> Iterator[tuple[int, tuple[Begin, ...]]]:
        """For each failure that can make a difference, its index and where it can happen."""
        for failures, seeds in sorted(self.base.seeds.items()):
            if len(failures) == 1:
                origins = self.base.seed_origins[failures]
                yield failures[0], tuple(self._begin(*pair) for pair in zip(seeds, origins, strict=True))

    def _begin(self, seed: Seed, origin: tuple[int, object]) -> Begin:
        number, step = origin
        assert isinstance(step, Step), "a failure is an edge out of a class"
        return Begin(before=self.base.class_nodes[number].state, edge=step.edge, seed=seed)

    def moment_begins(self, comes: Callable[[State, State], bool]) -> Iterator[Begin]:
        """Where, without a failure, something comes that `comes` knows by the states before and after it."""
        wanted = [
            [(row, step) for row, steps in enumerate(node.steps) for step in steps or () if self._is_wanted(node.state, step,
            comes)]
            for node in self.base.nodes.values()
        ]
        for node, steps in zip(self.base.nodes.values(), wanted, strict=True):
            for bounds in node.classes if steps else ():
                for row, step in steps:
                    if row in bounds.possible:
                        cells = self.store.fire_possible(bounds, step.recipe).bounds.cells
                        yield Begin(before=node.state, edge=step.edge, seed=Seed(step.target.state, cells, (), (0, 0)))

    @staticmethod
    def _is_wanted(before: State, step: Step, comes: Callable[[State, State], bool]) -> bool:
        return step.was_taken and not step.failures and comes(before, step.edge.target)

    def layers(self, part: int = 0, parts: int = 1) -> Iterator[Search]:
        """For each failure, a finished search of all that can follow it, which is gone once the next is asked for.

        Of `parts` parts with as many failures each, only number `part`.

        A class is left out where the search without the failure was in a state that looks the same with at least the same timings
        (explore/cover.py): facts and steps are the same there and ever after, so what always holds is not changed by it. What
        inputs say can differ, so inputs are not to be judged here.
        """
        cover = Cover(self.network, {frozenset(): self._layer()})
        for failure, begins in islice(self.failure_begins(), part, None, parts):
            failed = frozenset((failure,))
            search = Search(
                network=self.network,
                monitors=(),
                again=failed if self.network.failures[failure].is_intermittent else frozenset(),
                limits=self.limits,
                notes_parts=False,
                cover=partial(cover.classes, failed=failed),
                core=self.core,
                store=self.store,
            )
            search.begin_with(tuple(begin.seed for begin in begins))
            search.run()
            yield search
            search.forget()

    def _layer(self) -> Layer:
        return layer_of(self.base)

    def edges_without_failure(self) -> Iterator[tuple[State, Edge]]:
        """Every edge that is taken without a failure, with the state before it."""
        for node in self.base.nodes.values():
            for step in steps_taken(node):
                if not step.failures:
                    yield node.state, step.edge


def explore(sequence: Sequence, faults: int, limits: Limits) -> Exploration:
    """Explore all runs without a failure, and with `faults` 1 note where each failure can happen."""
    network = build_core(sequence, NetworkOptions())
    quiet = build_core(sequence, NetworkOptions(given=NOBODY))
    core, store = CoreStore(network), BoundsStore()
    every = frozenset(mode.index for mode in network.failures)
    base = Search(
        network=network,
        monitors=(),
        allowed=every if faults else frozenset(),
        budget=min(faults, 1),
        limits=limits,
        notes_parts=False,
        core=core,
        store=store,
    )
    base.begin_at(normal_start(network))
    base.run()
    return Exploration(
        sequence=sequence,
        network=network,
        quiet=quiet,
        core=core,
        quiet_core=CoreStore(quiet),
        store=store,
        base=base,
        limits=limits,
    )
