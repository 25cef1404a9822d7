"""What a read may see: inputs chosen at the read, and contacts that fail before it.

A free input that nothing but the controller watches needs no stored bit: the read branches over its values. A contact that
fails is noticed only by a read whose outcome changes because of it. Only inputs that the run looked at can matter.
"""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.kernel.network import Network, ReadChoice
from seqcheck.kernel.reading import ReadResult
from seqcheck.kernel.state import State


def read_choices(
    network: Network, state: State, allowed: frozenset[int], budget: int
) -> tuple[ReadChoice, ...]:
    """Every different outcome of a read in `state`; those with fewer acts and no failure first."""
    healthy = _healthy_choices(network, state)
    if not budget or not network.contacts_at_read:
        return _distinct(healthy)
    found = list(healthy)
    frontier = found
    for _ in range(budget):
        frontier = [
            following
            for choice in frontier
            for following in _with_failure(network, state, choice, allowed)
        ]
        found = found + frontier
    return _distinct(found)


def _distinct(choices: Iterable[ReadChoice]) -> tuple[ReadChoice, ...]:
    distinct: dict[object, ReadChoice] = {}
    for choice in choices:
        distinct.setdefault((choice.result[:4], choice.stuck_on, choice.stuck_off), choice)
    return tuple(distinct.values())


def changes(state: State, result: ReadResult) -> bool:
    """Whether the read alters anything: memory, outputs, or the time in a step."""
    return bool(result.entered) or result.computed != state.computed or result.memory != state.memory


def is_demanded(network: Network, state: State) -> bool:
    """Whether a read would change something whatever values the chosen inputs have."""
    identity = (state.memory, state.seen, state.written, state.computed)
    known = network.memo.demands.get(identity)
    if known is None:
        known = all(changes(state, choice.result) for choice in _healthy_choices(network, state))
        network.memo.demands[identity] = known
    return known


def _healthy_choices(network: Network, state: State) -> tuple[ReadChoice, ...]:
    fixed = state.seen & ~network.chosen_mask
    identity = (state.memory, fixed, state.written)
    known = network.memo.choices.get(identity)
    if known is None:
        known = network.memo.choices[identity] = _find_choices(network, state, fixed)
    return known


def _find_choices(network: Network, state: State, fixed: int) -> tuple[ReadChoice, ...]:
    """Outcomes over the values of the chosen inputs that matter, nearest to rest first.

    Equal outcomes are kept: a contact that fails may make a difference to one and not to the other.
    """
    waiting, tried = [network.rest_inputs], {network.rest_inputs}
    found = []
    while waiting:
        values = waiting.pop(0)
        result = network.controller.read(state.memory, fixed | values, state.written)
        found.append(ReadChoice(result, values, 0, 0, ()))
        for choice in network.chosen:
            other = values ^ choice.bit
            if result.used & choice.bit and other not in tried:
                tried.add(other)
                waiting.append(other)
    return tuple(found)


def _with_failure(
    network: Network, state: State, choice: ReadChoice, allowed: frozenset[int]
) -> list[ReadChoice]:
    sound = network.contacts_at_read & ~(state.stuck_on | state.stuck_off | choice.stuck_on | choice.stuck_off)
    seen = (state.seen & ~network.chosen_mask | choice.chosen | choice.stuck_on) & ~choice.stuck_off
    left = choice.result.used & sound
    found = []
    while left:
        bit = left & -left
        left ^= bit
        stuck_on, stuck_off = network.contact_failures.get(bit, (None, None))
        failure = stuck_off if seen & bit else stuck_on
        if failure is None or failure not in allowed:
            continue
        result = network.controller.read(state.memory, seen ^ bit, state.written)
        if result[:4] == choice.result[:4]:
            continue
        on, off = (0, bit) if seen & bit else (bit, 0)
        faults = (*choice.faults, failure)
        found.append(ReadChoice(result, choice.chosen, choice.stuck_on | on, choice.stuck_off | off, faults))
    return found
