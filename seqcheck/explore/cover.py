"""Covered classes: a failure that has shown and no longer shows is as good as one that has not happened yet.

Failures are permanent, and they happen *late*: at the moment at which something goes otherwise because of them. So a run that goes
on from a state in which nothing of a failure shows is also a run from the same state without it, in which it happens later, when it
shows again. If the search without that failure has been in the same state with at least the same timings, at no higher cost, the
class adds nothing. Not for requirements that are timed from a failure, and not for intermittent failures.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from seqcheck.explore.bounds import Bounds
from seqcheck.explore.search import Search
from seqcheck.kernel.event import Pending
from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.network import Network
from seqcheck.kernel.settle import raw_signals
from seqcheck.kernel.state import State

Cost = tuple[int, int]
Failures = frozenset[int]


class Held(NamedTuple):
    """The classes of one state in a finished search, with the cost of each."""

    pending: tuple[Pending, ...]
    classes: tuple[tuple[Bounds, Cost], ...]


Layer = dict[State, Held]


def layer_of(search: Search) -> Layer:
    """What a finished search has been to."""
    held: Layer = {}
    for node in search.nodes.values():
        costs = [(search.acts[number], search.depths[number]) for number in node.numbers]
        held[node.state] = Held(node.agenda.pending, tuple(zip(node.classes, costs, strict=True)))
    return held


@dataclass(slots=True)
class Cover:
    """Finished layers with fewer failures, by the failures that have happened in them. Mutable: layers are added."""

    network: Network
    layers: dict[Failures, Layer] = field(default_factory=dict)

    def classes(self, state: State, pending: tuple[Pending, ...], failed: Failures) -> tuple[tuple[Bounds, Cost], ...]:
        """The classes that may cover those of `state`, which has these failures and these pending events."""
        found: list[tuple[Bounds, Cost]] = []
        for fewer, without in self._without_hidden(state, failed):
            held = self.layers[fewer].get(without) if fewer in self.layers else None
            if held is not None and held.pending == pending:
                found.extend(held.classes)
        return tuple(found)

    def _without_hidden(self, state: State, failed: Failures) -> Iterator[tuple[Failures, State]]:
        """The states that `state` is as good as, with one failure less or more."""
        for failure in sorted(failed):
            for without in before_failure(self.network, state, failure):
                fewer = failed - {failure}
                yield fewer, without
                yield from self._without_hidden(without, fewer)


def before_failure(network: Network, state: State, failure: int) -> Iterator[State]:
    """The states without `failure` that look the same and can do at least the same, if nothing of it shows in `state`."""
    mode = network.failures[failure]
    if mode.is_intermittent:
        return
    if mode.contact:
        yield from _before_contact_failed(network, state, mode)
        return
    plant, machine = state.plant, mode.machine
    for healthy in network.machines[machine].quiet_origins.get((failure, plant[machine]), ()):
        yield state._replace(positions=network.positions((*plant[:machine], healthy, *plant[machine + 1 :])))


def _before_contact_failed(network: Network, state: State, mode: FailureMode) -> Iterator[State]:
    """The state with the contact sound: if it says what the stuck one does, or if only reads look at it.

    In the second case the failure happens in the read whose outcome changes because of it; until then it makes no difference.
    """
    bit = mode.contact
    raw = raw_signals(network, state.positions) & bit
    is_stuck = bool((state.stuck_on if mode.stuck_on else state.stuck_off) & bit)
    if is_stuck and (bit & network.contacts_at_read or bool(raw) == mode.stuck_on):
        yield state._replace(
            stuck_on=state.stuck_on & ~bit,
            stuck_off=state.stuck_off & ~bit,
            signals=state.signals & ~bit | raw,
            seen=state.seen & ~bit | raw,
        )
