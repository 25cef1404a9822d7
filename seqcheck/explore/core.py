"""Network states without their watches, worked out once: several searches that differ only in monitors share them."""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.kernel.agenda import Agenda
from seqcheck.kernel.event import Edge
from seqcheck.kernel.fire import Firing
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import core_agenda
from seqcheck.kernel.state import State

Allowance = tuple[frozenset[int], int, frozenset[int]]
"""Failures allowed, how many, and intermittent ones that may return."""

FREE_EVENTS = -1
"""In place of the index of a pending event: all events that may come at any time."""


class CoreNode:
    """A state of controller and machine. Edges are worked out when first asked for: many events never get to fire."""

    __slots__ = ("agenda", "edges", "number", "state")

    def __init__(self, number: int, state: State, agenda: Agenda) -> None:
        """A node without edges yet."""
        self.number = number
        self.state = state
        self.agenda = agenda
        self.edges: dict[tuple[Allowance, int], tuple[CoreEdge, ...]] = {}


CoreEdge = tuple[Edge, CoreNode]
"""An edge, and the node that it leads to."""


class CoreStore:
    """All core nodes of one network. Mutable; owned by one process and shared by its searches."""

    def __init__(self, network: Network) -> None:
        """Start with no node; `network` may have watches, which are not looked at."""
        self.network = network
        self.nodes: dict[State, CoreNode] = {}
        self._made = 0
        self._last: tuple[CoreNode, Allowance, Firing] | None = None

    def forget(self) -> None:
        """Let go of all nodes and of what the network remembers; numbers are not used again."""
        for node in self.nodes.values():
            node.edges.clear()  # nodes point at one another, and the collector that would find them is paused
        self.nodes.clear()
        self._last = None
        self.network.forget()

    def node(self, state: State) -> CoreNode:
        """The node of a state without watches."""
        node = self.nodes.get(state)
        if node is None:
            node = CoreNode(self._made, state, core_agenda(self.network, state))
            self._made += 1
            self.nodes[state] = node
        return node

    def _firing_of(self, node: CoreNode, allowance: Allowance) -> Firing:
        """The firings of a node; those asked for last are kept, since a search asks for one event after the other."""
        if self._last is None or self._last[0] is not node or self._last[1] != allowance:
            self._last = (node, allowance, Firing(self.network, node.state, *allowance, node.agenda))
        return self._last[2]

    def edges(self, node: CoreNode, index: int, allowance: Allowance) -> tuple[CoreEdge, ...]:
        """The edges of pending event `index` of a node, or of its free events, under an allowance of failures."""
        known = node.edges.get((allowance, index))
        if known is None:
            firing = self._firing_of(node, allowance)
            found: Iterable[Edge]
            found = firing.free_edges() if index == FREE_EVENTS else firing.fire_pending(node.agenda.pending[index])
            known = tuple([(edge, self.node(edge.target)) for edge in found])
            node.edges[allowance, index] = known
        return known
