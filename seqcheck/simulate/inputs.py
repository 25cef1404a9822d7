"""Acts that bring the inputs to what a read is to see.

The explorer chooses some inputs at the read itself. A concrete run has real buttons: somebody presses them
just before.
"""

from __future__ import annotations

from seqcheck.kernel.choices import changes
from seqcheck.kernel.event import Cause, Edge
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.simulate.edges import free_edges, result_of_read, without_phase


def machines_behind(network: Network, inputs: int) -> tuple[Machine, ...]:
    """The devices whose signals are among `inputs`."""
    return tuple(
        machine for machine in network.machines if any(place.signals & inputs for place in machine.places)
    )


def acts_to_see(network: Network, state: State, inputs: int, values: int) -> tuple[Edge, ...] | None:
    """One act for each of `inputs` that is not yet as in `values`, or None if an act is not possible."""
    found = []
    for machine in machines_behind(network, (state.seen ^ values) & inputs):
        act = _act_of(network, state, machine)
        if act is None:
            return None
        found.append(act)
        state = without_phase(network, act.target)
    return tuple(found) if not (state.seen ^ values) & inputs else None


def _act_of(network: Network, state: State, machine: Machine) -> Edge | None:
    for edge in free_edges(network, state):
        if edge.event.cause is Cause.ACT and edge.event.subject == machine.name:
            return edge
    return None


def values_that_change_nothing(network: Network, state: State, inputs: int) -> int | None:
    """Values of `inputs` with which a read changes nothing.

    The present ones if they do, else those nearest to rest.
    """
    if not changes(state, result_of_read(network, state)):
        return state.seen & inputs
    waiting = [_rest(network, inputs)]
    tried = set(waiting)
    while waiting:
        values = waiting.pop(0)
        result = result_of_read(network, state, state.seen & ~inputs | values)
        if not changes(state, result):
            return values
        for bit in _bits(result.used & inputs):
            if values ^ bit not in tried:
                tried.add(values ^ bit)
                waiting.append(values ^ bit)
    return None


def _rest(network: Network, inputs: int) -> int:
    rest = 0
    for machine in machines_behind(network, inputs):
        rest |= machine.places[machine.initial].signals & inputs
    return rest


def _bits(mask: int) -> tuple[int, ...]:
    return tuple(1 << bit for bit in range(mask.bit_length()) if mask >> bit & 1)
