"""Who can do what in a state: the free moves of devices whose drives allow them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from seqcheck.kernel.event import FREE, Cause, Event
from seqcheck.kernel.machine import FreeMove, Machine
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State


class Act(NamedTuple):
    """An act that is possible: who, what, and the event that it is."""

    machine: Machine
    move: FreeMove
    event: Event


def possible_acts(network: Network, state: State) -> Iterator[Act]:
    """All acts that are possible now. Only an operator's beginning of a procedure depends on the controller's memory."""
    for machine in network.acting:
        free = machine.places[state.plant[machine.index]].free
        value = machine.drive_value(state) if any(move.mask for move in free) else 0
        for move in free:
            if value & move.mask == move.value:
                acts = ((machine.name, move.act),) if move.by_operator else ()
                yield Act(machine, move, Event(Cause.ACT, FREE, machine.name, move.act, acts=acts))
