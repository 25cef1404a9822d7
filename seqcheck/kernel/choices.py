"""What a read may see: inputs chosen at the read, and contacts that fail before it.

A free input that nothing but the controller watches needs no stored bit: the read branches over its values. A contact that
fails is noticed only by a read whose outcome changes because of it. Only inputs that the run looked at can matter.
"""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.kernel.network import Network, ReadChoice, SoundReads
from seqcheck.kernel.part import Control
from seqcheck.kernel.reading import ReadResult
from seqcheck.kernel.state import State


def read_choices(
    network: Network, state: State, allowed: frozenset[int], budget: int
) -> tuple[ReadChoice, ...]:
    """Every different outcome of a read in `state`; those with fewer acts and no failure first."""
    sound = sound_reads(network, state.control, state.seen)
    if not budget or not network.contacts_at_read:
        return sound.distinct
    found = list(sound.choices)
    frontier = found
    for _ in range(budget):
        frontier = [
            following
            for choice in frontier
            for following in _with_failure(network, state, choice, allowed)
        ]
        found = found + frontier
    return _distinct(found)


def sound_reads(network: Network, control: Control, seen: int) -> SoundReads:
    """The reads before which nothing fails, where `control` is held and a read would see `seen`."""
    fixed = seen & ~network.chosen_mask
    known = network.memo.reads.get((control, fixed))
    if known is None:
        known = network.memo.reads[control, fixed] = _find_reads(network, control, fixed)
    return known


def read_choice(
    network: Network,
    before: Control,
    result: ReadResult,
    chosen: int = 0,
    failed: tuple[int, int, tuple[int, ...]] = (0, 0, ()),
) -> ReadChoice:
    """The choice in which the controller's run gives `result`; `failed` are contacts stuck on, stuck off, and their failures.

    Where outputs act at the end of the scan, they are written by the read itself.
    """
    written = result.computed if network.write is None else before.written
    control = network.control(result.memory, result.computed, written)
    return ReadChoice(result, chosen, *failed, control, changes(before, result))


def changes(before: State | Control, result: ReadResult) -> bool:
    """Whether the read alters anything: memory, outputs, or the time in a step."""
    return bool(result.entered) or result.computed != before.computed or result.memory != before.memory


def _distinct(choices: Iterable[ReadChoice]) -> tuple[ReadChoice, ...]:
    distinct: dict[object, ReadChoice] = {}
    for choice in choices:
        distinct.setdefault((choice.result[:4], choice.stuck_on, choice.stuck_off), choice)
    return tuple(distinct.values())


def _find_reads(network: Network, control: Control, fixed: int) -> SoundReads:
    """Outcomes over the values of the chosen inputs that matter, nearest to rest first.

    Equal outcomes are kept: a contact that fails may make a difference to one and not to the other.
    """
    waiting, tried = [network.rest_inputs], {network.rest_inputs}
    found = []
    while waiting:
        values = waiting.pop(0)
        result = network.controller.read(control.memory, fixed | values, control.written)
        found.append(read_choice(network, control, result, values))
        for choice in network.chosen:
            other = values ^ choice.bit
            if result.used & choice.bit and other not in tried:
                tried.add(other)
                waiting.append(other)
    distinct = _distinct(found)
    return SoundReads(
        choices=tuple(found),
        distinct=distinct,
        altering=tuple(choice for choice in distinct if choice.alters),
        is_demanded=all(choice.alters for choice in found),
    )


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
        failed = (choice.stuck_on | on, choice.stuck_off | off, (*choice.faults, failure))
        found.append(read_choice(network, state.control, result, choice.chosen, failed))
    return found
