"""What drawn runs share: a network, and every firing on it that has been worked out before."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from seqcheck.kernel.event import Edge
from seqcheck.kernel.fire import Firing
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State

MOST_KNOWN = 200_000
"""Edges that a stage remembers before it starts anew; some hundred MB."""


@dataclass(slots=True)
class Stage:
    """A network to draw runs on, and what has been worked out on it so far. Mutable: it only ever learns.

    `network` is built with `choose` and `at_read` off; `core` is the same without its monitors, which only the edge that is
    taken is shown to. Failures that show nothing happen when something goes otherwise because of them.
    """

    network: Network
    core: Network = field(init=False)
    edges: dict[object, Edge] = field(default_factory=dict)
    free: dict[object, tuple[Edge, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the core."""
        options = replace(self.network.options, late=True, repairs=False)
        self.core = replace(self.network, options=options, watches=())

    def edge(self, identity: object, find: Callable[[], Edge]) -> Edge:
        """The edge known by this identity, or found and remembered."""
        found = self.edges.get(identity)
        if found is None:
            if len(self.edges) >= MOST_KNOWN:
                self.edges.clear()
            found = self.edges[identity] = find()
        return found

    def free_edges(self, state: State, allowed: frozenset[int], again: frozenset[int]) -> tuple[Edge, ...]:
        """What may happen at any time in `state` (without monitors), with one of the failures `allowed`."""
        identity = (state, allowed, again)
        found = self.free.get(identity)
        if found is None:
            if len(self.free) >= MOST_KNOWN:
                self.free.clear()
            found = self.free[identity] = Firing(
                self.core, state, allowed, int(bool(allowed)), again
            ).free_edges()
        return found
