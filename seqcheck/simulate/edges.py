"""What the kernel says can follow, asked in the few ways a concrete run asks it.

The scan phase of a state means nothing here: this engine reads periodically, whether or not a read would
change anything. Every state of a run is therefore kept in the phase AFTER_CHANGE (or IDLE where there are no
reads at all).
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.kernel.choices import read_choice
from seqcheck.kernel.event import FREE, READ, Cause, Edge, Pending
from seqcheck.kernel.fire import Firing, successors, with_watches
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import ages_pending, pending_events
from seqcheck.kernel.reading import ReadResult
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, State


def without_phase(network: Network, state: State) -> State:
    """The state with its scan phase made constant."""
    return state._replace(scan=IDLE if network.options.controller_fault else AFTER_CHANGE)


def failing_at_once(network: Network) -> Network:
    """The same network where quiet failures too happen at any time, and anything may be repaired."""
    return replace(network, options=replace(network.options, late=False, repairs=True))


def failing_late(network: Network) -> Network:
    """The same network where a quiet failure happens only when something goes otherwise because of it."""
    return replace(network, options=replace(network.options, late=True, repairs=True))


def pending_of(network: Network, state: State) -> tuple[Pending, ...]:
    """What time will bring, but for reads: those are the run's own affair."""
    return tuple(event for event in pending_events(network, state) if event.key != READ)


def all_edges(
    network: Network,
    state: State,
    allowed: frozenset[int] = frozenset(),
    budget: int = 0,
    again: frozenset[int] = frozenset(),
) -> tuple[Edge, ...]:
    """Every edge but reads; failures as in the kernel's `successors`."""
    found = successors(network, state, allowed, budget, again)
    return tuple(edge for edge in found if edge.event.cause is not Cause.READ)


def free_edges(network: Network, state: State, allowed: frozenset[int] = frozenset()) -> tuple[Edge, ...]:
    """What may happen at any time: acts, recoveries, repairs, and one of the failures `allowed`."""
    budget = 1 if allowed else 0
    return tuple(edge for edge in all_edges(network, state, allowed, budget) if edge.event.key == FREE)


def timed_edges(
    network: Network, state: State, event: Pending, allowed: frozenset[int] = frozenset()
) -> tuple[Edge, ...]:
    """The outcomes of a pending event, the healthy one first.

    At most one of the failures `allowed` takes part.
    """
    ages = frozenset(age.key for age in ages_pending(network, state.watch))
    if event.key in ages:
        return tuple(edge for edge in all_edges(network, state) if edge.event.key == event.key)
    firing = Firing(network, state, allowed, 1 if allowed else 0)
    return tuple(with_watches(network, state, edge, ages) for edge in firing.fire_pending(event))


def result_of_read(network: Network, state: State, inputs: int | None = None) -> ReadResult:
    """What a read does now, or would do if it saw `inputs`."""
    seen = state.seen if inputs is None else inputs
    return network.controller.read(state.memory, seen, state.written)


def read_edges(
    network: Network,
    state: State,
    allowed: frozenset[int] = frozenset(),
    budget: int = 0,
    again: frozenset[int] = frozenset(),
) -> tuple[Edge, ...]:
    """The outcomes of a read of the inputs as they are.

    More than one only if outputs act at once and something fails.
    """
    choice = read_choice(network, state.control, result_of_read(network, state))
    ages = frozenset(age.key for age in ages_pending(network, state.watch))
    firing = Firing(network, state, allowed, budget, again)
    return tuple(with_watches(network, state, edge, ages) for edge in firing.read(READ, choice))
