"""The two sides of each comparison with the tick search, as sets.

`explorers` gives the explorer another sequence than the ticks, to show that the comparison can fail; None for the same.
"""

from __future__ import annotations

from reference.exploration import EXACT, REDUCED, explored, situation_of
from reference.projections import visible, without_chosen
from reference.tick_model import TickModel
from reference.tick_search import reached_situations

from seqcheck.language.sequence import Sequence

Sides = tuple[set[object], set[object]]
"""What the tick search reaches, and what the explorer reaches."""


def all_states(
    sequence: Sequence, faults: int, tick_us: int, most: int, explorers: Sequence | None = None
) -> Sides:
    """Every network state, without reductions."""
    model = TickModel(sequence, faults)
    ticks: set[object] = set(reached_situations(model, tick_us, most))
    found = explored(explorers or sequence, EXACT, faults, most)
    return ticks, {situation_of(found.network, state, left, model.controller.names) for state, left in found.states}


def states_without_chosen_inputs(
    sequence: Sequence, tick_us: int, most: int, explorers: Sequence | None = None
) -> Sides:
    """Fault-free states with reductions on, chosen inputs projected away."""
    model = TickModel(sequence, 0)
    ticks = reached_situations(model, tick_us, most)
    found = explored(explorers or sequence, REDUCED, 0, most)
    return (
        {without_chosen(situation, found.network) for situation in ticks},
        {
            without_chosen(situation_of(found.network, state, left, model.controller.names), found.network)
            for state, left in found.states
        },
    )


def visible_states(
    sequence: Sequence, faults: int, tick_us: int, most: int, explorers: Sequence | None = None
) -> Sides:
    """What requirements see, with reductions on."""
    model = TickModel(sequence, faults)
    ticks = reached_situations(model, tick_us, most)
    found = explored(explorers or sequence, REDUCED, faults, most)
    names, network = model.controller.names, found.network
    return (
        {visible(situation, network, model.machine) for situation in ticks},
        {visible(situation_of(network, state, left, names), network, model.machine) for state, left in found.states},
    )
