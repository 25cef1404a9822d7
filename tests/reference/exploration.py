"""The explorer's side of the comparison: the network states it reaches, told in the words of `tick_model`.

Only here are kernel and explorer used. `layers` are the search without faults and, for one fault, a search from every
class in which one has just happened.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from reference.tick_cells import EXPIRED, HELD, IDLE, RUNNING, Value
from reference.tick_model import Situation

from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.search import Search
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence

EXACT = NetworkOptions(late=False, at_read=False, choose=False)
"""No reduction: the states must be the same, one for one."""
REDUCED = NetworkOptions()
"""Late faults, contacts failing at the read, inputs chosen at the read."""

_SCANS = ("idle", "after change", "on demand")
_TIMER_STATES = (IDLE, RUNNING, EXPIRED, HELD)


class TooManyClassesError(Exception):
    """More classes than the caller allows."""


@dataclass(frozen=True, slots=True)
class Explored:
    """The network and every state with how many failures were left in it."""

    network: Network
    states: frozenset[tuple[State, int]]


def explored(sequence: Sequence, options: NetworkOptions, faults: int, most: int = 200_000) -> Explored:
    """Every state that the explorer reaches with up to one failure.

    Raises TooManyClassesError beyond `most` classes in one layer.
    """
    assert faults in (0, 1)
    network = build_network(sequence, (), options)
    allowed = frozenset(mode.index for mode in network.failures) if faults else frozenset()
    first = Search(
        network=network, monitors=(), allowed=allowed, budget=faults, again=frozenset(), limits=Limits(classes=most)
    )
    first.begin_at(normal_start(network))
    found = {(state, faults) for state in _states(first)}
    for seeds in first.seeds.values():
        layer = Search(
            network=network, monitors=(), allowed=frozenset(), budget=0, again=frozenset(), limits=Limits(classes=most)
        )
        layer.begin_with(tuple(seeds))
        found |= {(state, 0) for state in _states(layer)}
    return Explored(network, frozenset(found))


def _states(search: Search) -> set[State]:
    search.run()
    if search.stop is StopReason.CLASSES:
        raise TooManyClassesError
    assert search.stop is StopReason.FINISHED
    return {node.state for node in search.class_nodes}


def situation_of(network: Network, state: State, left: int, names: tuple[str, ...]) -> Situation:
    """A state in the words of the tick search; `names` are its cells, in its order."""
    cells = _cells(network, state)
    assert cells.keys() == set(names), f"cells differ: {sorted(cells.keys() ^ set(names))}"
    return Situation(
        memory=tuple(cells[name] for name in names),
        computed=frozenset(network.outputs_in(state.computed)),
        written=frozenset(network.outputs_in(state.written)),
        scan=_SCANS[state.scan],
        plant=state.plant,
        stuck_on=frozenset(network.signals_in(state.stuck_on)),
        stuck_off=frozenset(network.signals_in(state.stuck_off)),
        seen=frozenset(network.signals_in(state.seen)),
        left=left,
    )


def _cells(network: Network, state: State) -> dict[str, Value]:
    """The controller's cells by name: step names, states of timers, truths."""
    controller = network.controller
    lengths = {timer.cell: timer.length_us for timer in controller.timers}
    uses: Counter[str] = Counter()
    found: dict[str, Value] = {}
    for cell, (label, value) in enumerate(zip(controller.cell_labels, state.memory, strict=True)):
        name = f"{label} @{lengths[cell]}" if cell in lengths else label
        uses[name] += 1
        name = name if uses[name] == 1 else f"{name} #{uses[name]}"
        if cell < len(controller.charts):
            found[name] = controller.charts[cell].step_names[value]
        else:
            found[name] = _TIMER_STATES[value] if cell in lengths else value != 0
    return found
