"""What the kernel says follows a state, worked out once: states as nodes, healthy events as links between them.

A machine that runs in cycles visits few states (some hundreds), each thousands of times. Asking the kernel once and looking up
from then on is what makes thousands of runs affordable. The links are those of edges.py, so nothing can come out otherwise.
"""

from __future__ import annotations

from seqcheck.kernel.event import WRITE, Cause, Edge, Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.simulate.edges import free_edges, pending_of, read_edges, timed_edges, without_phase
from seqcheck.simulate.interventions import Intervention, edge_for
from seqcheck.simulate.physical_data import PhysicalData
from seqcheck.simulate.running import is_idle
from seqcheck.simulate.view import View, view_of


class Link:
    """A firing: the edge, the node it leads to, and the keys that go on counting."""

    __slots__ = ("edge", "entered", "kept", "target")

    def __init__(self, edge: Edge, target: Node) -> None:
        """Keep what a run looks up."""
        self.edge = edge
        self.target = target
        self.kept = frozenset(edge.kept)
        self.entered = edge.entered


class Node:
    """A state with what is pending in it. `read` is what a periodic read does, None if it changes nothing.

    `links` by key of the pending event. Mutable: it grows as a run asks.
    """

    __slots__ = ("acts", "is_read_known", "links", "pending", "read", "state", "view", "writes")

    def __init__(self, state: State, pending: tuple[Pending, ...], view: View | None) -> None:
        """Know nothing of what follows yet."""
        self.state = state
        self.pending = pending
        self.view = view
        self.writes = any(event.key == WRITE for event in pending)
        self.read: Link | None = None
        self.is_read_known = False
        self.links: dict[int, Link] = {}
        self.acts: dict[Intervention, Link | None] = {}


class StateGraph:
    """All nodes met so far of one network, in which nothing fails by chance. Mutable: it grows."""

    def __init__(self, network: Network, data: PhysicalData | None = None) -> None:
        """Begin with no node; `data` for the views that physics needs."""
        self.network = network
        self.data = data
        self._nodes: dict[State, Node] = {}
        self._views: dict[View, View] = {}

    def __len__(self) -> int:
        """How many nodes are known."""
        return len(self._nodes)

    def node(self, state: State) -> Node:
        """The node of `state`, whatever phase its scan is in."""
        state = without_phase(self.network, state)
        found = self._nodes.get(state)
        if found is None:
            found = self._nodes[state] = Node(state, pending_of(self.network, state), self._view(state))
        return found

    def _view(self, state: State) -> View | None:
        """The view of a state; equal ones are the same object, so that comparing is quick."""
        if self.data is None:
            return None
        view = view_of(self.data, state)
        return self._views.setdefault(view, view)

    def fire(self, node: Node, event: Pending) -> Link:
        """What happens when the pending `event` fires."""
        link = node.links.get(event.key)
        if link is None:
            link = node.links[event.key] = self._link(timed_edges(self.network, node.state, event)[0])
        return link

    def read(self, node: Node) -> Link | None:
        """What a periodic read does; None: nothing."""
        if not node.is_read_known:
            edge = read_edges(self.network, node.state)[0]
            node.read = None if is_idle(edge, node.state) else self._link(edge)
            node.is_read_known = True
        return node.read

    def act(self, node: Node, wanted: Intervention) -> Link | None:
        """What somebody or something does from outside; None: not possible here."""
        if wanted not in node.acts:
            edge = edge_for(self.network, node.state, wanted)
            node.acts[wanted] = None if edge is None else self._link(edge)
        return node.acts[wanted]

    def acts(self, node: Node) -> tuple[Edge, ...]:
        """Everything that an operator or the surroundings may do."""
        return tuple(
            edge for edge in free_edges(self.network, node.state) if edge.event.cause is Cause.ACT
        )

    def _link(self, edge: Edge) -> Link:
        target = self.node(edge.target)
        return Link(edge._replace(target=target.state), target)
