"""One failure of a named device at a time, on both sides of the comparison with spin."""

from __future__ import annotations

from reference.exploration import Explored
from reference.spin_names import SpinNames

from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.search import Search
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence

MOST_CLASSES = 200_000


def names_with_faults_of(sequence: Sequence, device: str, tick_us: int) -> SpinNames:
    """For spin: any one failure of the device."""
    names = SpinNames(sequence, 1, tick_us, choose=True)
    names.machine.failures.update({part.device: () for part in names.machine.parts if part.device != device})
    return names


def explored_with_faults_of(sequence: Sequence, device: str, options: NetworkOptions) -> Explored:
    """What the explorer reaches with any one failure of the device."""
    network = build_network(sequence, (), options)
    allowed = frozenset(mode.index for mode in network.failures if mode.name.startswith(f"{device}."))
    assert allowed, f"{device} cannot fail"
    limits = Limits(classes=MOST_CLASSES)
    first = Search(network=network, monitors=(), allowed=allowed, budget=1, again=frozenset(), limits=limits)
    first.begin_at(normal_start(network))
    found = {(state, 1) for state in _states(first)}
    for seeds in first.seeds.values():
        layer = Search(
            network=network, monitors=(), allowed=frozenset(), budget=0, again=frozenset(), limits=limits
        )
        layer.begin_with(tuple(seeds))
        found |= {(state, 0) for state in _states(layer)}
    return Explored(network, frozenset(found))


def _states(search: Search) -> set[State]:
    search.run()
    assert search.stop is StopReason.FINISHED
    return {node.state for node in search.class_nodes}
