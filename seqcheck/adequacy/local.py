"""What happens around a place: every read that the controller can make there, in all runs with at most one failure.

A change of the controller that lets no such read go otherwise changes nothing: state by state the runs stay the same. Only what can
influence the place is explored, which is all that such a read depends on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product

from seqcheck.adequacy.change import Change
from seqcheck.adequacy.changed_core import IsTouched
from seqcheck.adequacy.layered import Layered, layers
from seqcheck.check.slice import sliced
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.search import Search
from seqcheck.explore.time_loop import steps_taken
from seqcheck.kernel.build import build_core
from seqcheck.kernel.choices import read_choices
from seqcheck.kernel.event import Cause
from seqcheck.kernel.memory import TIMER_EXPIRED
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.part import Control
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence

MOST_CLASSES = 300_000
"""Classes after which the surroundings of a place are given up: then no change there is called equivalent."""

MOST_WITHOUT = 20_000
"""The same for runs without failures: with failures there are some dozens of times as many."""

Situation = tuple[int, int, int]
"""Of a state with a certain control: what a read would see, and contacts stuck on and off."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A read that can happen: a state, and the failures that may come with it (none once one has happened)."""

    state: State
    allowed: frozenset[int]


@dataclass(slots=True)
class Local:
    """The surroundings of some owners. Mutable while explored.

    `standings` are the reads that can happen, by what the controller holds; `reads` those that a class has made, as what is held
    before and after with the steps entered; `failed` the failures that made a difference; `is_complete` False: a limit was reached.
    """

    part: Sequence
    network: Network
    standings: dict[Control, dict[tuple[Situation, bool], Standing]] = field(default_factory=dict)
    reads: set[tuple[Control, Control, tuple[tuple[int, int], ...]]] = field(default_factory=set)
    failed: set[str] = field(default_factory=set)
    states: set[State] = field(default_factory=set)
    classes: int = 0
    is_complete: bool = True

    def goes_otherwise(self, changed: Network, is_touched: IsTouched) -> bool:
        """Whether any read that can happen goes otherwise in the changed network, which has the same layout."""
        for control, standings in self.standings.items():
            if is_touched(control.memory):
                for standing in standings.values():
                    if _go_otherwise(self.network, changed, standing):
                        return True
        return False

    def expires(self, cell: int) -> bool:
        """Whether the timer of this memory cell ever reaches its limit."""
        return any(control.memory[cell] == TIMER_EXPIRED for control in self.standings)


def _go_otherwise(network: Network, changed: Network, standing: Standing) -> bool:
    """Whether a read has another outcome for any value of the inputs that people may give it, or another one with a failure."""
    used = _used(network, standing) | _used(changed, standing)
    bits = [choice.bit for choice in network.chosen if choice.bit & used]
    for values in product(*((0, bit) for bit in bits)):
        seen = standing.state.seen & ~network.chosen_mask | sum(values)
        if _outcomes(network, standing, seen) != _outcomes(changed, standing, seen):
            return True
    return False


def _used(network: Network, standing: Standing) -> int:
    """The inputs that the reads look at."""
    used = 0
    for choice in read_choices(network, standing.state, standing.allowed, 1 if standing.allowed else 0):
        used |= choice.result.used
    return used


def _outcomes(network: Network, standing: Standing, seen: int) -> dict[int, object]:
    """What the read does, and what it does if one contact fails first, by failure."""
    state = standing.state
    sound = network.controller.read(state.memory, seen, state.written)
    found: dict[int, object] = {-1: sound[:4]}
    for bit, (stuck_on, stuck_off) in network.contact_failures.items():
        failure = stuck_off if seen & bit else stuck_on
        if failure is not None and failure in standing.allowed and sound.used & network.contacts_at_read & bit:
            failed = network.controller.read(state.memory, seen ^ bit, state.written)
            if failed[:4] != sound[:4]:
                found[failure] = failed[:4]
    return found


def seeds_of(change: Change) -> tuple[str, ...]:
    """The owners whose surroundings a change is judged in."""
    return tuple(name for name in (change.owner, change.subject.variable) if name)


def part_around(sequence: Sequence, owners: tuple[str, ...]) -> Sequence:
    """What can influence `owners`."""
    return sliced(sequence, (), (), owners)


def explore_around(part: Sequence, *, with_failures: bool, most_classes: int = MOST_CLASSES) -> Local:
    """All runs of `part` whatever people do, with one failure at most (or none)."""
    network = build_core(part, NetworkOptions())
    local = Local(part, network)
    failures = frozenset(mode.index for mode in network.failures)
    asked = Layered(
        network=network,
        monitors=(),
        core=CoreStore(network),
        store=BoundsStore(),
        failures=failures if with_failures else None,
        limits=Limits(classes=most_classes),
    )
    for chain, search in layers(asked):
        _take_in(local, search, frozenset() if chain or not with_failures else failures)
        local.failed.update(network.failures[index].name for failure in search.seeds for index in failure)
        local.classes += len(search.class_nodes)
        is_large = not chain and with_failures and local.classes > MOST_WITHOUT
        if search.stop is not StopReason.FINISHED or local.classes > most_classes or is_large:
            local.is_complete = False
            break
    return local


def _take_in(local: Local, search: Search, allowed: frozenset[int]) -> None:
    for node in search.nodes.values():
        state = node.core.state
        local.states.add(state)
        situation = (state.seen, state.stuck_on, state.stuck_off)
        standings = local.standings.setdefault(state.control, {})
        standings.setdefault((situation, bool(allowed)), Standing(state, allowed))
        for step in steps_taken(node):
            if step.edge.event.cause is Cause.READ:
                after = step.target.core.state.control
                local.reads.add((state.control, after, step.edge.entered))
