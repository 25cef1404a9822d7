"""Searches layer by layer, each handed out finished: whoever asks may stop as soon as one has shown enough."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial

from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.cover import Cover, layer_of
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.search import Search, collector_paused
from seqcheck.explore.summary import Chain
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import Monitor
from seqcheck.kernel.start import Start, normal_start, starts_anywhere
from seqcheck.language.sequence import Hypothesis

Order = Callable[[tuple[int, ...]], object]
"""What the layers of one failure are sorted by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layered:
    """What is searched. `failures` None: runs without failures alone; else those that may happen, one in a run."""

    network: Network
    monitors: tuple[Monitor, ...]
    core: CoreStore
    store: BoundsStore
    failures: frozenset[int] | None = None
    covers: bool = True
    start_anywhere: bool = False
    limits: Limits = field(default_factory=Limits)
    hypotheses: tuple[Hypothesis, ...] = ()
    """For each monitor the failures under which it must stay quiet."""
    stops_early: bool = False
    """End a search soon after the first violation in it."""

    def heard(self, chain: Chain) -> tuple[int, ...]:
        """The places of the monitors that must stay quiet in a layer."""
        failures = [self.network.failures[index].name for layer in chain for index in layer]
        return tuple(
            place
            for place, hypothesis in enumerate(self.hypotheses)
            if all(allows(hypothesis, failure) for failure in failures)
        )


def allows(hypothesis: Hypothesis, failure: str) -> bool:
    """Whether a hypothesis has this failure among those that may happen."""
    return hypothesis.count > 0 and (not hypothesis.named or failure in hypothesis.named)


class _ViolatedError(Exception):
    """A search has found a violation, and need not go on."""


def layers(asked: Layered, order: Order = tuple) -> Iterator[tuple[Chain, Search]]:
    """Each layer with its finished search: the one without failures, then one for each failure.

    A search is forgotten once the next is asked for. Raises KeyboardInterrupt if Ctrl-C ended one.
    """
    with collector_paused():
        first = new_search(asked, (), asked.failures or frozenset())
        first.begin_at(_starts(asked))
        with forgotten(first):
            yield (), run_to_end(first)
            cover = Cover(asked.network) if asked.covers else None
            if cover is not None and first.seeds:
                cover.layers[frozenset()] = layer_of(first)
            for failures in sorted(first.seeds, key=order):  # type: ignore[arg-type]
                search = _below(asked, first, failures, cover)
                with forgotten(search):
                    yield (failures,), run_to_end(search)


@contextmanager
def forgotten(search: Search) -> Iterator[None]:
    """In the end, however it comes, the search lets go of its nodes, which point at one another."""
    try:
        yield
    finally:
        search.forget()


def _below(asked: Layered, first: Search, failures: tuple[int, ...], cover: Cover | None) -> Search:
    search = new_search(asked, (failures,))
    if cover is not None:
        search.cover = partial(cover.classes, failed=frozenset(failures))
    search.begin_with(tuple(first.seeds[failures]))
    return search


def new_search(asked: Layered, chain: Chain, allowed: frozenset[int] = frozenset()) -> Search:
    """A search in one layer that has not begun. In the layer without failures one of `allowed` may happen and ends it there."""
    failed = frozenset(index for failures in chain for index in failures)
    search = Search(
        network=asked.network,
        monitors=asked.monitors,
        allowed=allowed,
        budget=1 if allowed else 0,
        again=frozenset(index for index in failed if asked.network.failures[index].is_intermittent),
        notes_parts=not chain,
        limits=asked.limits,
        core=asked.core,
        store=asked.store,
    )
    if asked.stops_early:
        search.progress = partial(_end_if_violated, search, asked.heard(chain))
    return search


def _end_if_violated(search: Search, heard: tuple[int, ...], _classes: int) -> None:
    if any(search.records[place].bad is not None for place in heard):
        raise _ViolatedError


def _starts(asked: Layered) -> tuple[Start, ...]:
    if asked.start_anywhere:
        return starts_anywhere(asked.network, asked.limits.starts)[0]
    return normal_start(asked.network)


def run_to_end(search: Search) -> Search:
    """Run a search. Raises KeyboardInterrupt if Ctrl-C ended it."""
    with suppress(_ViolatedError):
        search.run()
    if search.stop is StopReason.INTERRUPTED:
        raise KeyboardInterrupt
    return search
