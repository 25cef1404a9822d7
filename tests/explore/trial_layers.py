"""Small sequences, and all that the explorer finds out about their requirements, in a form that can be compared."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from seqcheck.check.group import monitors_of
from seqcheck.explore.layers import LayeredSearch
from seqcheck.explore.limits import StopReason
from seqcheck.explore.search import Search
from seqcheck.explore.summary import Exploration
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Hypothesis, Requirement, Sequence
from seqcheck.reader.read import read_sequence

FOLDER = Path(__file__).parent / "trials"
TRIALS = ("clamp", "air", "filter", "gate")

PLAIN = NetworkOptions(late=False, at_read=False, choose=False)
"""No reduction."""

Values = tuple[bool, bool, bool, int | None, int | None, frozenset[int]]
"""Of a monitor: violated, ever begun, ever over, worst, best, parts of its condition seen without a failure."""


@cache
def trial(name: str) -> Sequence:
    return read_sequence(FOLDER / f"{name}.yaml")


def requirement_named(sequence: Sequence, name: str) -> Requirement:
    return next(part for part in sequence.requirements if part.id == name)


def explored(
    sequence: Sequence,
    requirement: Requirement,
    options: NetworkOptions,
    hypothesis: Hypothesis | None = None,
    covers: bool = False,
) -> Exploration:
    """Every layer of the exploration for one requirement."""
    monitors = monitors_of(requirement, sequence)
    network = build_network(sequence, monitors, options)
    layered = LayeredSearch(
        network=network,
        monitors=monitors,
        hypothesis=requirement.under if hypothesis is None else hypothesis,
        covers=covers,
    )
    found, seeds = layered.base()
    for failures, first in seeds.items():
        found = found.merged(layered.job(failures, first))
    assert found.stop is StopReason.FINISHED
    return found


def values(found: Exploration) -> tuple[Values, ...]:
    """What was found for each monitor, without the ways to it."""
    return tuple(
        (
            part.bad is not None,
            part.started is not None,
            part.over is not None,
            part.worst.value_us if part.worst else None,
            part.best.value_us if part.best else None,
            part.parts_in_layer_0,
        )
        for part in found.summaries
    )


def states_reached(network: Network, faults: int) -> set[tuple[State, int]]:
    """Every state with the failures left in it, up to one failure."""
    allowed = frozenset(mode.index for mode in network.failures) if faults else frozenset()
    first = Search(network=network, monitors=(), allowed=allowed, budget=faults)
    first.begin_at(normal_start(network))
    first.run()
    found = {(node.state, faults) for node in first.class_nodes}
    for failures, seeds in first.seeds.items():
        again = frozenset(index for index in failures if network.failures[index].is_intermittent)
        layer = Search(network=network, monitors=(), again=again)
        layer.begin_with(tuple(seeds))
        layer.run()
        found |= {(node.state, 0) for node in layer.class_nodes}
    return found
