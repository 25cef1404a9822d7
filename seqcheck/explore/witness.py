"""When the events of a path can happen: windows for each, and one schedule that also places the periodic scans.

A path fixes the order of events; each event then fires between its earliest and latest time after it became pending, and before
any other pending event is overdue. These are difference constraints: a graph with an edge u -> v of weight w for
"v at most w after u", where shortest paths give the latest times and a negative cycle means that no times exist.
Source: T. Cormen and others, "Introduction to Algorithms", chapter on difference constraints and shortest paths (from memory).

The explorer's scan rule lets a read come on demand; a controller reads periodically. `schedule_of` therefore also finds how
many idle reads fit between two reads of the path. Where none fit, the path is one that no periodic scan attains.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.explore.layers import Path
from seqcheck.kernel.event import READ, Cause
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import pending_events
from seqcheck.kernel.schedule import Happening, Schedule
from seqcheck.kernel.state import AFTER_CHANGE

MOST_TRIES = 400
"""Attempts to place idle reads before giving up; each is a shortest-path run of a few milliseconds."""


@dataclass(frozen=True, slots=True)
class Constraint:
    """Moment `later` comes at most `most_us` after moment `earlier`; moments are numbered, 0 is the start."""

    earlier: int
    later: int
    most_us: int


@dataclass(frozen=True, slots=True)
class Gap:
    """Reads `first` and `last` (moments) of the path with idle reads between; the last of them not after `demand`.

    `forced`: the read at `last` was pending already at the end of the path and has not come yet (only its latest counts).
    """

    first: int
    last: int
    demand: int
    is_open: bool = False


@dataclass(slots=True)
class Times:
    """Difference constraints over numbered moments. Mutable; owned by one call of `schedule_of`."""

    constraints: list[Constraint] = field(default_factory=list)
    moments: int = 0

    def at_most(self, earlier: int, later: int, most_us: int) -> None:
        """`later` at most so long after `earlier`."""
        self.constraints.append(Constraint(earlier, later, most_us))
        self.moments = max(self.moments, earlier + 1, later + 1)

    def at_least(self, earlier: int, later: int, least_us: int) -> None:
        """`later` at least so long after `earlier`."""
        self.at_most(later, earlier, -least_us)

    def latest(self) -> list[int | None] | None:
        """Latest time of each moment after moment 0 (None: unbounded), or None if no times exist."""
        return _shortest_from_start(self.constraints, self.moments)

    def earliest(self) -> list[int] | None:
        """Earliest time of each moment after moment 0, or None if no times exist."""
        reverse = [Constraint(part.later, part.earlier, part.most_us) for part in self.constraints]
        distances = _shortest_from_start(reverse, self.moments)
        if distances is None:
            return None
        return [-(distance or 0) for distance in distances]


def _shortest_from_start(constraints: list[Constraint], moments: int) -> list[int | None] | None:
    """Shortest distances from moment 0, or None where there is a negative cycle."""
    import networkx

    graph: networkx.DiGraph[int] = networkx.DiGraph()
    graph.add_nodes_from(range(moments))
    for part in constraints:
        known = graph.get_edge_data(part.earlier, part.later)
        if known is None or known["weight"] > part.most_us:
            graph.add_edge(part.earlier, part.later, weight=part.most_us)
    try:
        found = networkx.single_source_bellman_ford_path_length(graph, 0)
    except networkx.NetworkXUnbounded:
        return None
    return [None if moment not in found else int(found[moment]) for moment in range(moments)]


def schedule_of(network: Network, path: Path, extra: tuple[Constraint, ...] = ()) -> Schedule | None:
    """Windows and one schedule for `path`, idle reads included; None if no periodic scan can attain it.

    `extra` constraints may ask for more, such as a least duration between two moments.
    """
    times = Times(moments=1)
    gaps = _constrain(network, path, times)
    for part in extra:
        times.at_most(part.earlier, part.later, part.most_us)
    windows = times.latest(), times.earliest()
    if windows[0] is None or windows[1] is None:
        return None
    placed = _place_idle_reads(network, times, gaps)
    if placed is None:
        return None
    chosen, idle_reads = placed
    happenings = tuple(
        Happening(
            time_us=chosen[number],
            earliest_us=windows[1][number],
            latest_us=windows[0][number],
            edge=edge,
        )
        for number, edge in enumerate(path.edges, start=1)
    )
    return Schedule(start=path.start, happenings=happenings, idle_read_times_us=tuple(sorted(idle_reads)))


def greatest_us(network: Network, path: Path, earlier: int, later: int) -> int | None:
    """How long at most moment `later` comes after moment `earlier` on the path, scans aside; None if nothing bounds it."""
    times = Times(moments=1)
    _constrain(network, path, times)
    # Shortest distances start at moment 0, so the two swap names with it.
    moved = [Constraint(_swap(part.earlier, earlier), _swap(part.later, earlier), part.most_us) for part in times.constraints]
    distances = _shortest_from_start(moved, times.moments)
    return None if distances is None else distances[_swap(later, earlier)]


def _swap(moment: int, other: int) -> int:
    return {0: other, other: 0}.get(moment, moment)


def _constrain(network: Network, path: Path, times: Times) -> list[Gap]:
    """Add the constraints of the path itself, and return where idle reads have to be placed."""
    since = {event.key: 0 for event in pending_events(network, path.start)}
    state = path.start
    last_read = 0
    gaps = []
    for number, edge in enumerate(path.edges, start=1):
        times.at_least(number - 1, number, 0)
        is_read = edge.event.cause is Cause.READ
        for event in pending_events(network, state):
            if event.latest_us is not None:
                times.at_most(since[event.key], number, event.latest_us)
            if event.key == edge.event.key:
                times.at_least(since[event.key], number, event.earliest_us)
        if is_read and state.scan != AFTER_CHANGE:
            gaps.append(Gap(last_read, number, since.get(READ, number) if edge.event.key == READ else number))
        if is_read:
            last_read = number
        state = edge.target
        kept = set(edge.kept)
        since = {
            event.key: since[event.key] if event.key in kept else number
            for event in pending_events(network, state)
        }
    if state.scan != AFTER_CHANGE and path.edges:
        gaps.append(Gap(last_read, len(path.edges), since.get(READ, len(path.edges)), is_open=True))
    return gaps


def _place_idle_reads(
    network: Network, times: Times, gaps: list[Gap]
) -> tuple[list[int], list[int]] | None:
    """Choose how many idle reads each gap has, one gap after the other, going back where none fits."""
    shortest_us, longest_us = network.shortest_period_us, network.longest_period_us
    tries = 0

    def place(index: int) -> list[int] | None:
        """Counts of idle reads from gap `index` on, or None."""
        nonlocal tries
        if index == len(gaps):
            return []
        for count in _counts(times, gaps[index], shortest_us, longest_us):
            tries += 1
            if tries > MOST_TRIES:
                return None
            mark = len(times.constraints), times.moments
            _add_gap(times, gaps[index], count, shortest_us, longest_us)
            if times.earliest() is not None and (rest := place(index + 1)) is not None:
                return [count, *rest]
            del times.constraints[mark[0] :]
            times.moments = mark[1]
        return None

    first_helper = times.moments
    counts = place(0)
    chosen = times.earliest()
    if counts is None or chosen is None:
        return None
    idle: list[int] = []
    for number, (gap, count) in enumerate(zip(gaps, counts, strict=True)):
        idle.extend(_spread(chosen[gap.first], chosen[first_helper + number], count))
    return chosen, idle


def _counts(times: Times, gap: Gap, shortest_us: int, longest_us: int) -> Iterator[int]:
    """Numbers of idle reads worth trying in a gap, fewest first."""
    earliest, latest = times.earliest(), times.latest()
    if earliest is None or latest is None:
        return
    low = earliest[gap.last] - (latest[gap.first] if latest[gap.first] is not None else earliest[gap.last])  # type: ignore[operator]
    least = max(0, -(-max(low, 0) // longest_us) - 1) if longest_us else 0
    top = latest[gap.last]
    span = (top - earliest[gap.first]) if top is not None else None
    most = least + MOST_TRIES if span is None or not shortest_us else max(least, span // shortest_us)
    yield from range(least, min(most, least + MOST_TRIES) + 1)


def _add_gap(times: Times, gap: Gap, count: int, shortest_us: int, longest_us: int) -> None:
    """The last idle read is a moment of its own: after `count` periods, not after the demand, one period before the read."""
    helper = times.moments
    times.at_least(gap.first, helper, count * shortest_us)
    times.at_most(gap.first, helper, count * longest_us)
    times.at_least(helper, gap.demand, 0)
    times.at_most(helper, gap.last, longest_us)
    if not gap.is_open:
        times.at_least(helper, gap.last, shortest_us)


def _spread(first_us: int, last_us: int, count: int) -> list[int]:
    """`count` moments from after `first_us` to `last_us`, evenly."""
    return [first_us + (last_us - first_us) * number // count for number in range(1, count + 1)]
