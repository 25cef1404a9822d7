"""Brute force: every run of a sequence in discrete ticks.

The picture: every pending event has a clock that counts ticks from the moment it became pending. Between earliest and
latest it may fire; a tick may pass only while no clock is at its latest. With closed bounds that are whole numbers of ticks
this visits every network state that dense time visits (T. Henzinger, Z. Manna, A. Pnueli, "What good are digital clocks?",
ICALP 1992; from memory), one clock value at a time: slow, but with nothing to get wrong about tables of bounds.
"""

from __future__ import annotations

from collections.abc import Iterator

from reference.tick_model import Edge, Situation, TickModel

from seqcheck.quantities.time import TimeRange

Clocks = tuple[int, ...]
Way = tuple[int, int, tuple[int, ...]]
"""Index of the clock that fires (-1: none), number of the node after, and for each clock there its index here (-1: new)."""


class TooManyError(Exception):
    """More tick states than the caller allows."""


class _Node:
    """A situation with its clocks in ticks and its ways out, worked out once."""

    def __init__(self, situation: Situation, ranges: dict[str, TimeRange], tick_us: int) -> None:
        self.situation = situation
        self.keys = tuple(ranges)
        self.bounds = tuple(_in_ticks(within, tick_us) for within in ranges.values())
        self.ways: tuple[Way, ...] | None = None


def _in_ticks(within: TimeRange, tick_us: int) -> tuple[int, int | None]:
    if within.earliest_us % tick_us or (within.latest_us or 0) % tick_us:
        raise ValueError(f"{within} is no whole number of ticks of {tick_us} us")
    latest = None if within.latest_us is None else within.latest_us // tick_us
    return within.earliest_us // tick_us, latest


class _Search:
    def __init__(self, model: TickModel, tick_us: int) -> None:
        self.model = model
        self.tick_us = tick_us
        self.nodes: list[_Node] = []
        self.numbers: dict[Situation, int] = {}

    def number(self, situation: Situation) -> int:
        if situation not in self.numbers:
            self.numbers[situation] = len(self.nodes)
            self.nodes.append(_Node(situation, self.model.pending(situation), self.tick_us))
        return self.numbers[situation]

    def ways(self, node: _Node) -> tuple[Way, ...]:
        if node.ways is None:
            node.ways = tuple(self._way(node, edge) for edge in self.model.edges(node.situation))
        return node.ways

    def _way(self, node: _Node, edge: Edge) -> Way:
        target = self.number(edge.after)
        sources = tuple(node.keys.index(key) if key in edge.going_on else -1 for key in self.nodes[target].keys)
        return (-1 if edge.fired is None else node.keys.index(edge.fired)), target, sources

    def after(self, number: int, clocks: Clocks) -> Iterator[tuple[int, Clocks]]:
        node = self.nodes[number]
        for fired, target, sources in self.ways(node):
            if fired < 0 or clocks[fired] >= node.bounds[fired][0]:
                yield target, tuple([clocks[source] if source >= 0 else 0 for source in sources])
        if all(latest is None or clock < latest for clock, (_, latest) in zip(clocks, node.bounds, strict=True)):
            ticked = tuple(
                min(clock + 1, earliest) if latest is None else clock + 1
                for clock, (earliest, latest) in zip(clocks, node.bounds, strict=True)
            )
            yield number, ticked


def reached_situations(model: TickModel, tick_us: int, most: int) -> set[Situation]:
    """Every situation that some run in ticks of `tick_us` reaches.

    Raises TooManyError beyond `most` tick states, ValueError if a range is no whole number of ticks.
    """
    search = _Search(model, tick_us)
    first = search.number(model.start())
    waiting: list[tuple[int, Clocks]] = [(first, (0,) * len(search.nodes[first].keys))]
    known = set(waiting)
    while waiting:
        for following in search.after(*waiting.pop()):
            if following not in known:
                known.add(following)
                waiting.append(following)
        if len(known) > most:
            raise TooManyError
    return {search.nodes[number].situation for number, _ in known}
