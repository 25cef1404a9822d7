"""What must be equal when the explorer runs with its reductions: the states with less detail.

- *Inputs chosen at the read* hide the position of a free input and the state of its contact, and with them whether a read
  is wanted. Without faults nothing else is hidden: `without_chosen` drops exactly that.
- *Late faults* and *contacts failing at the read* hide a fault until it makes a difference. What a requirement can see of
  the machine is all the same: `visible` keeps memory, outputs computed and written, and the facts of every device that is
  no chosen input; it drops which fault there is, modes, contacts that nothing but a read looks at, and the scan's phase.
"""

from __future__ import annotations

from typing import NamedTuple

from reference.tick_cells import Memory
from reference.tick_machine import TickMachine
from reference.tick_model import Names, Situation

from seqcheck.kernel.network import Network


class Visible(NamedTuple):
    """What a requirement on machine truth, steps, flags, alarms and outputs can tell apart."""

    memory: Memory
    computed: Names
    written: Names
    facts: Names


def without_chosen(situation: Situation, network: Network) -> Situation:
    """The situation without chosen inputs and without the phase of the scan."""
    chosen = {choice.device for choice in network.chosen}
    signals = frozenset(network.signals_in(sum(choice.bit for choice in network.chosen)))
    plant = tuple(
        -1 if machine.name in chosen else position
        for machine, position in zip(network.machines, situation.plant, strict=True)
    )
    return situation._replace(scan="", plant=plant, seen=situation.seen - signals)


def visible(situation: Situation, network: Network, machine: TickMachine) -> Visible:
    """The situation as requirements see it."""
    chosen = {choice.device for choice in network.chosen}
    facts = frozenset(fact for fact in machine.facts(situation.plant) if fact.partition(".")[0] not in chosen)
    return Visible(situation.memory, situation.computed, situation.written, facts)
