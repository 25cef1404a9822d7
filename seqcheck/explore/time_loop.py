"""Loops that take no time: events of latest time zero that lead back to where they began would stop time.

With time stopped every limit would hold, so requirements are undecided where such a loop is reached.
"""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.explore.node import Node, Step
from seqcheck.explore.search import Search


def devices_in_time_loop(search: Search) -> tuple[str, ...]:
    """What takes part in a loop that takes no time, or nothing if there is none."""
    edges: dict[int, list[tuple[int, str]]] = {}
    for node in search.nodes.values():
        for step in steps_taken(node):
            if step.stops_time:
                edges.setdefault(node.number, []).append((step.target.number, step.edge.event.subject))
    return _subjects_on_cycle(edges) if edges else ()


def steps_taken(node: Node) -> Iterator[Step]:
    """The steps out of a node that some class has fired."""
    for group in node.steps:
        for step in group or ():
            if step.was_taken:
                yield step


def _subjects_on_cycle(edges: dict[int, list[tuple[int, str]]]) -> tuple[str, ...]:
    """Strip nodes without a way on until none is left, or only those that lead to a cycle."""
    left = dict(edges)
    while True:
        dead = [node for node, ways in left.items() if not any(target in left for target, _ in ways)]
        if not dead:
            break
        for node in dead:
            del left[node]
    return tuple(sorted({subject for ways in left.values() for target, subject in ways if target in left}))
