"""What can be seen of an event from outside the controller: acts, movements, written outputs, steps, alarms.

Timers, flags, edge memories and reads that enter no step are the controller's own affair: two programs that differ only there are
the same to everybody who stands at the machine.
"""

from __future__ import annotations

from seqcheck.kernel.event import Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State

Observed = tuple[str, ...]
"""What was seen, as words that mean the same in both sequences."""


def observed(network: Network, before: State, edge: Edge) -> Observed | None:
    """What is seen of `edge`; None: nothing."""
    event = edge.event
    match event.cause:
        case Cause.TIMER | Cause.AGE:
            return None
        case Cause.READ:
            seen = (*_entered(network, edge), *_alarms(network, before, edge.target), *_outputs(network, before, edge.target))
            return ("controller", *seen) if seen else None
        case Cause.WRITE:
            return ("outputs", *_outputs(network, before, edge.target))
        case _:
            return (event.subject, event.action)


def _entered(network: Network, edge: Edge) -> Observed:
    charts = network.controller.charts
    return tuple(f"{charts[chart].name} enters {charts[chart].step_names[step]}" for chart, step in edge.entered)


def _alarms(network: Network, before: State, after: State) -> Observed:
    if before.control is after.control:
        return ()
    old, new = set(network.alarms_in(before.memory)), set(network.alarms_in(after.memory))
    return (*(f"alarm {name}" for name in sorted(new - old)), *(f"alarm {name} clears" for name in sorted(old - new)))


def _outputs(network: Network, before: State, after: State) -> Observed:
    turned_on = network.outputs_in(after.written & ~before.written)
    turned_off = network.outputs_in(before.written & ~after.written)
    return (*(f"{name} on" for name in sorted(turned_on)), *(f"{name} off" for name in sorted(turned_off)))
