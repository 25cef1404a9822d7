"""Where two sequences at the same machine part: the shortest run at the end of which one controller visibly does another thing.

Up to there every event comes at the same time for both, so one search serves both (see lockstep.py). Where they part without
showing it, the search cannot follow both: it goes no further there, and the comparison is not complete.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

from seqcheck.compare.lockstep import Lockstep, in_lockstep
from seqcheck.compare.observed import Observed, observed
from seqcheck.explore.core import Allowance, CoreEdge, CoreNode, CoreStore
from seqcheck.explore.layers import LayeredSearch, Path
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.record import Where
from seqcheck.explore.search import Search
from seqcheck.explore.summary import Chain
from seqcheck.kernel.event import Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.part import Control
from seqcheck.kernel.reading import ReadResult
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Hypothesis

MOST_TOLD = 5
"""Partings told for each search; a read on demand may come where no periodic one can, so the first need not be confirmed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """A read at which the leader does what is `seen`, and the follower does `instead` (None: nothing that is seen)."""

    node: CoreNode
    row: int
    edge: Edge
    seen: Observed
    instead: Observed | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartingRun:
    """The run to a parting, in the network of both; its last edge is the leader's."""

    path: Path
    seen: Observed
    instead: Observed | None


class PartingCore(CoreStore):
    """The states of two controllers in lockstep; reads after which they are no longer together lead nowhere."""

    def __init__(self, network: Network, follower: Network) -> None:
        """Start with no parting."""
        super().__init__(network)
        assert isinstance(network.controller, Lockstep), "see in_lockstep"
        self.lockstep: Lockstep = network.controller
        self.follower = follower
        self.partings: list[Parting] = []
        self.hidden = 0
        self._together: dict[tuple[CoreNode, Allowance, int], tuple[CoreEdge, ...]] = {}

    def edges(self, node: CoreNode, index: int, allowance: Allowance) -> tuple[CoreEdge, ...]:
        """The edges after which both are still together; the others are noted."""
        identity = (node, allowance, index)
        known = self._together.get(identity)
        if known is None:
            found = super().edges(node, index, allowance)
            known = self._together[identity] = tuple(link for link in found if self._stays(node, index + 1, link[0]))
        return known

    def _stays(self, node: CoreNode, row: int, edge: Edge) -> bool:
        if edge.event.cause is not Cause.READ:
            return True
        if not edge.target.memory[-1]:
            return True
        _, theirs = self.lockstep.both(node.state.memory, _inputs(node.state, edge), node.state.written)
        seen, instead = self._seen(node.state, edge), self._follower_seen(node.state, edge, theirs)
        if seen is not None and seen != instead:
            self.partings.append(Parting(node=node, row=row, edge=edge, seen=seen, instead=instead))
        elif seen == instead:
            self.hidden += 1
        return False

    def _seen(self, state: State, edge: Edge) -> Observed | None:
        if self.network.write is None:
            return observed(self.network, state, edge)
        # What is only written later is a difference all the same.
        control = edge.target.control
        computed = Control(control.memory, control.computed, control.computed)
        return observed(self.network, state, edge._replace(target=edge.target._replace(control=computed)))

    def _follower_seen(self, state: State, edge: Edge, theirs: ReadResult) -> Observed | None:
        before = state._replace(
            control=Control(self.lockstep.followers(state.memory), state.computed, state.written)
        )
        after = before._replace(control=Control(theirs.memory, theirs.computed, theirs.computed))
        return observed(self.follower, before, edge._replace(target=after, entered=theirs.entered))


def _inputs(state: State, edge: Edge) -> int:
    """What the read of an edge sees: inputs that it chooses, and contacts that have just failed."""
    mask, values = edge.event.chosen
    seen = state.seen & ~mask | values
    return (seen | edge.target.stuck_on) & ~edge.target.stuck_off


@dataclass(slots=True)
class PartingSearch:
    """Looks for partings. Mutable; owned by its caller.

    `failures`: how many may happen. Afterwards `is_complete` says that no run was left out.
    """

    leader: Network
    follower: Network
    limits: Limits
    failures: int = 0
    network: Network | None = None
    is_complete: bool = False
    _core: PartingCore | None = None
    _told: list[PartingRun] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Put both at one machine, if that is possible."""
        self.network = in_lockstep(self.leader, self.follower)
        if self.network is not None:
            self._core = PartingCore(self.network, self.follower)

    def runs(self) -> tuple[PartingRun, ...]:
        """The runs to the first partings, those with the fewest failures, then acts, then events first."""
        if self.network is None or self._core is None:
            return ()
        layered = LayeredSearch(
            network=self.network,
            monitors=(),
            hypothesis=Hypothesis(count=self.failures),
            limits=self.limits,
            core=self._core,
            covers=True,
        )
        found, jobs = layered.base()
        stop = found.stop
        self._tell(layered, ())
        for failures, seeds in jobs.items():
            if self._told or stop is not StopReason.FINISHED:
                break
            stop = layered.job(failures, seeds).stop
            self._tell(layered, (failures,))
        self.is_complete = stop is StopReason.FINISHED and not self._core.hidden
        return tuple(self._told)

    def _tell(self, layered: LayeredSearch, chain: Chain) -> None:
        assert self._core is not None
        new = self._core.partings[:]
        self._core.partings.clear()
        if not new:
            return
        if not chain:
            search = layered.base_search()
            reached = [part for part in new if (part.node.number, ()) in search.nodes]
            new = sorted(reached, key=lambda part: (len(part.edge.event.faults), *_cost(search, part)))
        for part in new[:MOST_TOLD]:
            way = layered.path(chain, partial(_way_to, part=part))
            self._told.append(PartingRun(path=Path(way.start, (*way.edges, part.edge)), seen=part.seen, instead=part.instead))


def _cost(search: Search, part: Parting) -> tuple[int, int]:
    number = _class_of(search, part)
    return search.acts[number] + len(part.edge.event.acts), search.depths[number]


def _class_of(search: Search, part: Parting) -> int:
    """The first class in which the read can come."""
    node = search.nodes[part.node.number, ()]
    able = (number for number in node.numbers if part.row in search.class_bounds[number].possible)
    return min(able, key=lambda number: (search.acts[number], search.depths[number], number))


def _way_to(search: Search, part: Parting) -> Where:
    return search.parents[_class_of(search, part)]
