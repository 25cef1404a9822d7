"""Network states without their watches, worked out once: several searches that differ only in monitors share them."""

from __future__ import annotations

from seqcheck.kernel.event import Edge, Pending
from seqcheck.kernel.fire import core_successors
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import core_pending
from seqcheck.kernel.state import State


class CoreEdge:
    """An edge between core nodes."""

    __slots__ = ("edge", "target")

    def __init__(self, edge: Edge, target: CoreNode) -> None:
        """Tie the edge to its target."""
        self.edge = edge
        self.target = target


class CoreNode:
    """A state of controller and machine. `edges` are filled when first asked for, once for each fault allowance."""

    __slots__ = ("edges", "number", "pending", "state")

    def __init__(self, number: int, state: State, pending: tuple[Pending, ...]) -> None:
        """A node without edges yet."""
        self.number = number
        self.state = state
        self.pending = pending
        self.edges: dict[Allowance, tuple[CoreEdge, ...]] = {}


Allowance = tuple[frozenset[int], int, frozenset[int]]
"""Failures allowed, how many, and intermittent ones that may return."""


class CoreStore:
    """All core nodes of one network. Mutable; owned by one process and shared by its searches."""

    def __init__(self, network: Network) -> None:
        """Start with no node; `network` may have watches, which are not looked at."""
        self.network = network
        self.nodes: dict[State, CoreNode] = {}

    def node(self, state: State) -> CoreNode:
        """The node of a state without watches."""
        node = self.nodes.get(state)
        if node is None:
            node = CoreNode(len(self.nodes), state, core_pending(self.network, state))
            self.nodes[state] = node
        return node

    def edges(self, node: CoreNode, allowance: Allowance) -> tuple[CoreEdge, ...]:
        """The edges out of a node under an allowance of failures."""
        known = node.edges.get(allowance)
        if known is None:
            found = core_successors(self.network, node.state, *allowance)
            known = tuple(CoreEdge(edge, self.node(edge.target)) for edge in found)
            node.edges[allowance] = known
        return known
