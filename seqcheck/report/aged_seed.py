"""A class with one more age that has just begun: where a clock is started by hand in the middle of an exploration."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

from seqcheck.explore.bounds import NO_BOUND, BoundsStore
from seqcheck.explore.search import FindCover, Seed
from seqcheck.kernel.event import Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.kernel.watch import Watch


class Clock(Watch, Protocol):
    """A watch with one age, which is begun by hand."""

    @property
    def age(self) -> Pending:
        """The age: its limit is both its earliest and its latest time."""


def network_with(network: Network, clock: Clock, subject: str) -> Network:
    """`network` watched by `clock` alone, whose age has the key `network.next_key`."""
    names = network.event_names | {clock.age.key: (subject, "limit passes")}
    return replace(network, watches=(clock,), event_names=names, next_key=network.next_key + 1)


def aged_seed(seed: Seed, watch: int, length_us: int) -> Seed:
    """`seed`, a class without watches, in which an age of `length_us` begins now and the clock is in state `watch`."""
    if watch == 0:
        return replace(seed, state=seed.state._replace(watch=(watch,)), marks=())
    cells = with_new_age(seed.cells, length_us)
    return replace(seed, state=seed.state._replace(watch=(watch,)), cells=cells, marks=())


def with_new_age(cells: tuple[int, ...], length_us: int) -> tuple[int, ...]:
    """The canonical table with one more event, independent of the others, due in exactly `length_us`.

    Its row is that of zero plus `length_us`, its column that of zero minus `length_us`.
    """
    size = round(len(cells) ** 0.5)
    rows = [cells[start : start + size] for start in range(0, size * size, size)]
    grown = [(*row, _sum(row[0], -length_us)) for row in rows]
    grown.append((*(_sum(cell, length_us) for cell in rows[0]), 0))
    return tuple(cell for row in grown for cell in row)


def _sum(bound: int, more: int) -> int:
    return bound if bound == NO_BOUND else bound + more


def ending_at(done: frozenset[int], store: BoundsStore) -> FindCover:
    """A cover that ends an exploration wherever the only watch is in one of the states `done`: nothing more is asked there."""

    def cover(state: State, pending: tuple[Pending, ...]):  # type: ignore[no-untyped-def]
        if state.watch[0] not in done:
            return ()
        size = len(pending) + 1
        return ((store.table(size, (NO_BOUND,) * (size * size)), (0, 0)),)

    return cover
