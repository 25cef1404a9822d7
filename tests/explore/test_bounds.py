"""Tables of difference bounds against all-pairs shortest paths, against points, and against worked examples."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from seqcheck.explore.bounds import NO_BOUND, Bounds, BoundsStore

Interval = tuple[int, int]
Point = tuple[int, ...]
LONGEST = 4

INTERVALS = st.lists(
    st.tuples(st.integers(0, LONGEST), st.integers(0, LONGEST)).map(lambda pair: (min(pair), max(pair))),
    min_size=1,
    max_size=3,
)
"""Bounds of up to three events, small enough that every whole-number point can be visited."""


def _shortest_paths(size: int, cells: tuple[int, ...]) -> tuple[int, ...] | None:
    """All-pairs shortest paths by networkx; None if there is a negative cycle."""
    graph: networkx.DiGraph[int] = networkx.DiGraph()
    graph.add_nodes_from(range(size))
    for row, column in product(range(size), repeat=2):
        if row != column and cells[row * size + column] < NO_BOUND // 2:
            graph.add_edge(row, column, weight=cells[row * size + column])
    lengths = networkx.floyd_warshall(graph)
    if any(lengths[node][node] < 0 for node in range(size)):
        return None
    return tuple(
        NO_BOUND if lengths[row][column] == float("inf") else int(lengths[row][column])
        for row, column in product(range(size), repeat=2)
    )


def _points(bounds: Bounds) -> set[Point]:
    """Every whole-number point that the table allows; the corners of its zone are among them."""
    size = bounds.size
    ranges = [range(bounds.earliest(index), bounds.latest(index) + 1) for index in range(1, size)]
    return {
        point
        for point in product(*ranges)
        if all(
            (0, *point)[row] - (0, *point)[column] <= bounds.cells[row * size + column]
            for row, column in product(range(size), repeat=2)
        )
    }


def _advanced(point: Point, fired: int) -> Iterator[Point]:
    """The points after some time at whose end event `fired` (0: a free one) happens, if nobody is due before."""
    if fired:
        if point[fired - 1] == min(point):
            yield tuple(value - point[fired - 1] for value in point)
    else:
        for delay in range(min(point, default=0) + 1):
            yield tuple(value - delay for value in point)


def _continued(point: Point, kept: tuple[int, ...], fresh: tuple[Interval, ...]) -> Iterator[Point]:
    """The points after the firing: kept events as they are, new ones anywhere in their bounds."""
    bounds = iter(fresh)
    choices = [
        (point[index - 1],) if index else range(first, last + 1)
        for index, (first, last) in ((index, (0, 0) if index else next(bounds)) for index in kept)
    ]
    yield from product(*choices)


@st.composite
def firings(draw: st.DrawFn, size: int) -> tuple[int, tuple[int, ...], tuple[Interval, ...]]:
    """A fired event (0: free), what goes on counting and where, and the bounds of new events."""
    fired = draw(st.integers(0, size - 1))
    going_on = [index for index in range(1, size) if index != fired and draw(st.booleans())]
    fresh = draw(INTERVALS.map(lambda found: found[: max(0, 3 - len(going_on))]))
    kept = draw(st.permutations([*going_on, *([0] * len(fresh))]))
    return fired, tuple(kept), tuple(fresh)


@st.composite
def histories(draw: st.DrawFn) -> tuple[BoundsStore, list[tuple[Bounds, set[Point]]]]:
    """Tables along a random run, each beside the set of points that the same run reaches by brute force."""
    store = BoundsStore()
    intervals = tuple(draw(INTERVALS))
    bounds = store.initial(intervals)
    points: set[Point] = set(product(*(range(first, last + 1) for first, last in intervals)))
    found = [(bounds, points)]
    for _ in range(draw(st.integers(1, 4))):
        fired, kept, fresh = draw(firings(bounds.size))
        after = {
            new
            for point in points
            for advanced in _advanced(point, fired)
            for new in _continued(advanced, kept, fresh)
        }
        outcome = store.fire(bounds, store.recipe(bounds.size, fired, kept, fresh))
        assert (outcome is None) is (not after), "an event can fire exactly if some point lets it"
        if outcome is None:
            break
        bounds, points = outcome.bounds, after
        found.append((bounds, points))
    return store, found


@settings(max_examples=150, deadline=None)
@given(histories())
def test_tables_after_any_firings_allow_exactly_the_points_that_brute_force_reaches(
    history: tuple[BoundsStore, list[tuple[Bounds, set[Point]]]],
) -> None:
    _, found = history
    for bounds, points in found:
        assert _points(bounds) == points


@settings(max_examples=150, deadline=None)
@given(histories())
def test_every_table_is_canonical(history: tuple[BoundsStore, list[tuple[Bounds, set[Point]]]]) -> None:
    """Its cells are its own shortest paths: closing it again changes nothing."""
    _, found = history
    for bounds, _points_reached in found:
        assert _shortest_paths(bounds.size, bounds.cells) == bounds.cells


@settings(max_examples=150, deadline=None)
@given(histories())
def test_equal_tables_are_one_object(history: tuple[BoundsStore, list[tuple[Bounds, set[Point]]]]) -> None:
    store, found = history
    for bounds, _points_reached in found:
        assert store.table(bounds.size, tuple(bounds.cells)) is bounds


@settings(max_examples=150, deadline=None)
@given(histories(), histories())
def test_a_table_includes_another_exactly_if_it_allows_all_its_points(
    one: tuple[BoundsStore, list[tuple[Bounds, set[Point]]]],
    other: tuple[BoundsStore, list[tuple[Bounds, set[Point]]]],
) -> None:
    for bounds, points in one[1]:
        for second, second_points in other[1]:
            if bounds.size == second.size:
                assert bounds.includes(second) is (points >= second_points)


@settings(max_examples=150, deadline=None)
@given(histories(), st.data())
def test_measured_differences_are_the_greatest_over_the_points_at_the_firing(
    history: tuple[BoundsStore, list[tuple[Bounds, set[Point]]]], data: st.DataObject
) -> None:
    store, found = history
    bounds, points = found[-1]
    fired = data.draw(st.integers(0, bounds.size - 1))
    pairs = tuple((first, second) for first in range(bounds.size) for second in range(bounds.size))
    outcome = store.fire(bounds, store.recipe(bounds.size, fired, (), (), pairs))
    moments = [(0, *advanced) for point in points for advanced in _advanced(point, fired)]
    if outcome is None:
        assert not moments
        return
    greatest = tuple(max(moment[first] - moment[second] for moment in moments) for first, second in pairs)
    assert outcome.measures == greatest


def test_an_event_without_latest_time_never_forces_and_never_bounds_others() -> None:
    store = BoundsStore()
    start = store.initial(((3, NO_BOUND), (1, 2)))
    assert start.cells == (0, -3, -1, NO_BOUND, 0, NO_BOUND, 2, -1, 0)
    outcome = store.fire(start, store.recipe(3, 2, (1,), ()))
    assert outcome is not None
    assert outcome.bounds.cells == (0, -1, NO_BOUND, 0)
    assert store.fire(start, store.recipe(3, 1, (), ())) is None


def test_worked_example_of_three_variables_is_its_own_closure_and_that_of_its_input() -> None:
    """Input: 1<=x1<=3, x2>=0, 0<=x3<=3, x2-x3=1, x2-x1>=2.

    Source: CIS 540 lecture notes, University of Pennsylvania, spring 2017, 20 April (input); result computed.
    """
    no = NO_BOUND
    given_cells = (0, -1, 0, 0, 3, 0, -2, no, no, no, 0, 1, 3, no, -1, 0)
    closed = (0, -1, -3, -2, 2, 0, -2, -1, 4, 3, 0, 1, 3, 2, -1, 0)
    assert _shortest_paths(4, given_cells) == closed
    store = BoundsStore()
    zone = store.table(4, closed)
    assert [(zone.earliest(index), zone.latest(index)) for index in (1, 2, 3)] == [(1, 2), (3, 4), (2, 3)]
    assert _shortest_paths(4, zone.cells) == zone.cells
    # Only x1 can be the first: both others are always later.
    assert [store.fire(zone, store.recipe(4, event, (), ())) is not None for event in (1, 2, 3)] == [True, False, False]
    fired = store.fire(zone, store.recipe(4, 1, (2, 3), ()))
    assert fired is not None
    assert fired.bounds.cells == (0, -2, -1, 3, 0, 1, 2, -1, 0)


def test_worked_example_of_two_variables_bounds_the_first_through_the_second() -> None:
    """Input: x1-x2 < 2, 0 < x2 <= 2, 1 <= x1; hence x1 < 4 and x2-x1 <= 1.

    Source: ACM problem HDU 3305 (first bound); second computed. Strict bounds are written in half units: `< n` is
    `<= 2n - 1`, so x1 < 4 comes out as at most 7 half units, or sharper where two strict bounds meet.
    """
    closed = _shortest_paths(3, (0, -2, -1, NO_BOUND, 0, 3, 4, NO_BOUND, 0))
    assert closed == (0, -2, -1, 7, 0, 3, 4, 2, 0)
    zone = BoundsStore().table(3, closed)
    assert zone.latest(1) < 2 * 4
    assert zone.cells[2 * 3 + 1] == 2 * 1


def test_an_impossible_zone_has_a_negative_cycle() -> None:
    assert _shortest_paths(2, (0, -5, 3, 0)) is None
