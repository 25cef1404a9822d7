"""Traps: states from which no chart ever changes step again without a new failure.

Every trap reported is real; that none is found is a finding, not a proof, since classes keep every reachable state but
not the branching between them.
"""

from __future__ import annotations

from seqcheck.explore.record import Where
from seqcheck.explore.search import Search
from seqcheck.explore.time_loop import steps_taken


def traps(search: Search) -> tuple[Where, ...]:
    """For each combination of active steps that has a trap, the way to the first trap found."""
    free = _nodes_that_can_move(search)
    found: dict[tuple[int, ...], Where] = {}
    for number, node in enumerate(search.class_nodes):
        if node.number not in free:
            charts = len(search.network.controller.charts)
            found.setdefault(node.core.state.memory[:charts], search.parents[number])
    return tuple(found.values())


def _nodes_that_can_move(search: Search) -> set[int]:
    """Nodes from which a taken path leads to an edge that enters a step."""
    back: dict[int, list[int]] = {}
    waiting = []
    for node in search.nodes.values():
        for step in steps_taken(node):
            if step.failures:
                continue
            back.setdefault(step.target.number, []).append(node.number)
            if step.edge.entered:
                waiting.append(node.number)
    free: set[int] = set()
    while waiting:
        number = waiting.pop()
        if number not in free:
            free.add(number)
            waiting.extend(back.get(number, ()))
    return free
