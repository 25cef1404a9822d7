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
    stops_early: bool = False
    """End a search soon after the first violation in it."""


class _ViolatedError(Exception):
    """A search has found a violation, and need not go on."""


def layers(asked: Layered, order: Order = tuple) -> Iterator[tuple[Chain, Search]]:
    """Each layer with its finished search: the one without failures, then one for each failure.

    A search is forgotten once the next is asked for. Raises KeyboardInterrupt if Ctrl-C ended one.
    """
    with collector_paused():
        first = _search(asked, asked.failures or frozenset(), 0 if asked.failures is None else 1)
        first.begin_at(_starts(asked))
        with forgotten(first):
            yield (), _run(first)
            cover = Cover(asked.network) if asked.covers else None
            if cover is not None and first.seeds:
                cover.layers[frozenset()] = layer_of(first)
            for failures in sorted(first.seeds, key=order):  # type: ignore[arg-type]
                search = _below(asked, first, failures, cover)
                with forgotten(search):
                    yield (failures,), _run(search)


@contextmanager
def forgotten(search: Search) -> Iterator[None]:
    """In the end, however it comes, the search lets go of its nodes, which point at one another."""
    try:
        yield
    finally:
        search.forget()


def _below(asked: Layered, first: Search, failures: tuple[int, ...], cover: Cover | None) -> Search:
    search = _search(asked, frozenset(), 0)
    search.notes_parts = False
    search.again = frozenset(index for index in failures if asked.network.failures[index].is_intermittent)
    if cover is not None:
        search.cover = partial(cover.classes, failed=frozenset(failures))
    search.begin_with(tuple(first.seeds[failures]))
    return search


def _search(asked: Layered, allowed: frozenset[int], budget: int) -> Search:
    search = Search(
        network=asked.network,
        monitors=asked.monitors,
        allowed=allowed,
        budget=budget,
        limits=asked.limits,
        core=asked.core,
        store=asked.store,
    )
    if asked.stops_early:
        search.progress = partial(_end_if_violated, search)
    return search


def _end_if_violated(search: Search, _classes: int) -> None:
    if any(record.bad is not None for record in search.records):
        raise _ViolatedError


def _starts(asked: Layered) -> tuple[Start, ...]:
    if asked.start_anywhere:
        return starts_anywhere(asked.network, asked.limits.starts)[0]
    return normal_start(asked.network)


def _run(search: Search) -> Search:
    with suppress(_ViolatedError):
        search.run()
    if search.stop is StopReason.INTERRUPTED:
        raise KeyboardInterrupt
    return search
