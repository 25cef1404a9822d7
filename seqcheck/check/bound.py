"""Whether a value rests on a range that the model widened.

A motion that is reversed, resumed or refilled may take anything up to its latest time, since how far it had come is not
kept. What is worked out from such a motion is right as a bound, not as an exact value.
"""

from __future__ import annotations

from seqcheck.explore.layers import Path
from seqcheck.kernel.event import Cause
from seqcheck.kernel.network import Network

WIDENED = ("resumed_", "slowed_", "refilling", "settling", "lowering")
"""How positions begin whose remaining time the model widened."""


def rests_on_bound(network: Network, path: Path) -> bool:
    """Whether any motion on the path has a widened range."""
    before = path.start
    for edge in path.edges:
        if edge.event.cause is Cause.MOVE and edge.event.subject in network.machine_index:
            machine = network.machines[network.machine_index[edge.event.subject]]
            if machine.places[before.plant[machine.index]].label.startswith(WIDENED):
                return True
        before = edge.target
    return False
