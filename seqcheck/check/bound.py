"""Whether a value rests on a range that the model widened.

A motion that is reversed, resumed or refilled may take anything up to its latest time, since how far it had come is not
kept. What is worked out from such a motion is right as a bound, not as an exact value.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.draw import began_at
from seqcheck.explore.layers import Path
from seqcheck.kernel.event import Cause
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import pending_events

WIDENED = ("resumed_", "slowed_", "refilling", "settling", "lowering", "draining", "rising")
"""How positions begin whose remaining time the model widened."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Widened:
    """A motion with a widened range: pending from moment `begin` of the path, it fires at moment `end`."""

    begin: int
    end: int
    earliest_us: int
    latest_us: int | None


def rests_on_bound(network: Network, path: Path) -> bool:
    """Whether any motion on the path has a widened range."""
    return bool(widened_motions(network, path))


def widened_motions(network: Network, path: Path) -> tuple[Widened, ...]:
    """The motions on the path that have a widened range, in order."""
    found = []
    before = path.start
    for number, edge in enumerate(path.edges, start=1):
        if edge.event.cause is Cause.MOVE and edge.event.subject in network.machine_index:
            machine = network.machines[network.machine_index[edge.event.subject]]
            if machine.places[before.plant[machine.index]].label.startswith(WIDENED):
                window = next((part for part in pending_events(network, before) if part.key == edge.event.key), None)
                found.append(
                    Widened(
                        begin=began_at(path, edge.event.key, number),
                        end=number,
                        earliest_us=0 if window is None else window.earliest_us,
                        latest_us=None if window is None else window.latest_us,
                    )
                )
        before = edge.target
    return tuple(found)
