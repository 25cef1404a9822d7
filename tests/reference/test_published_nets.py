"""Published time Petri nets, explored with seqcheck's own tables: counts, golden graph and timing mutants.

Sources beside each net in `published_nets.py` and in `net_b_classes.txt`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import networkx
import pytest
from reference.petri_net import ClassGraph, Net, TooManyClassesError, enabled, explored
from reference.published_nets import NET_B, fischer, level_crossing, time_out, train_gate

MOST = 3_000
GOLDEN = Path(__file__).with_name("net_b_classes.txt")


def _counts(net: Net) -> tuple[int, int, int]:
    graph = explored(net, MOST)
    return len(graph.classes), len(graph.edges), len(graph.markings())


# -- net B -------------------------------------------------------------------------------------------------------


def _golden_rows() -> list[list[str]]:
    lines = GOLDEN.read_text(encoding="utf-8").splitlines()
    return [[cell.strip() for cell in line.split("|")] for line in lines if not line.startswith("#")]


def _marking(text: str) -> dict[str, int]:
    found = (re.fullmatch(r"(\d?)(p\d)", word) for word in text.split())
    return {match[2]: int(match[1] or 1) for match in found if match}


def _closed_table(events: list[str], bounds: str, differences: str) -> tuple[int, ...]:
    """The canonical table of a row of the golden file, closed by networkx."""
    graph: networkx.DiGraph[str] = networkx.DiGraph()
    graph.add_nodes_from(["0", *events])
    for name, earliest, latest in re.findall(r"(t\d) \[(\d+),(\d+)\]", bounds):
        graph.add_edge(name, "0", weight=int(latest))
        graph.add_edge("0", name, weight=-int(earliest))
    for first, second, most in re.findall(r"(t\d)-(t\d)<=(\d+)", differences):
        graph.add_edge(first, second, weight=int(most))
    lengths = networkx.floyd_warshall(graph)
    return tuple(int(lengths[row][column]) for row in ("0", *events) for column in ("0", *events))


def _described(graph: ClassGraph) -> list[tuple[dict[str, int], tuple[int, ...], str]]:
    return [
        (
            graph.tokens(number),
            bounds.cells,
            " ".join(f"{name}->{target}" for source, name, target in graph.edges if source == number),
        )
        for number, (_, bounds) in enumerate(graph.classes)
    ]


def test_net_b_has_exactly_the_golden_classes_bounds_and_edges() -> None:
    graph = explored(NET_B, MOST)
    expected = []
    for _, marking, bounds, differences, successors in _golden_rows():
        events = re.findall(r"t\d(?= \[)", bounds)
        expected.append((_marking(marking), _closed_table(events, bounds, differences), successors))
    assert len(expected) == 12
    assert _described(graph) == expected


def test_net_b_has_the_published_counts_no_dead_class_and_at_most_two_tokens() -> None:
    graph = explored(NET_B, MOST)
    assert _counts(NET_B) == (12, 29, 8)
    assert {source for source, _, _ in graph.edges} == set(range(12))
    assert max(max(marking) for marking in graph.markings()) == 2


@pytest.mark.parametrize("number", range(5))
def test_net_b_with_one_latest_time_changed_no_longer_is_the_golden_graph(number: int) -> None:
    changed = list(NET_B.transitions)
    changed[number] = replace(changed[number], latest=(changed[number].latest or 0) + 1)
    mutant = replace(NET_B, transitions=tuple(changed))
    assert _described(explored(mutant, MOST)) != _described(explored(NET_B, MOST))


def test_a_transition_of_the_start_is_enabled_by_its_tokens_alone() -> None:
    assert enabled(NET_B, NET_B.marking(NET_B.initial)) == (0,)


# -- level crossing ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("trains", "expected"), [(1, (11, 14, 10)), (2, (123, 218, 30))])
def test_level_crossing_has_the_published_counts(trains: int, expected: tuple[int, int, int]) -> None:
    assert _counts(level_crossing(trains)) == expected


@pytest.mark.parametrize(
    ("enters", "counts", "unsafe"), [((3, 5), (11, 14), 0), ((2, 5), (12, 16), 1), ((1, 5), (13, 17), 1)]
)
def test_level_crossing_is_unsafe_as_soon_as_a_train_may_tie_with_the_gate(
    enters: tuple[int, int], counts: tuple[int, int], unsafe: int
) -> None:
    graph = explored(level_crossing(1, enters), MOST)
    assert (len(graph.classes), len(graph.edges)) == counts
    assert graph.count(lambda tokens: "o1" in tokens and "down" not in tokens) == unsafe


# -- Fischer's rule ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("write", "wait"), [(1, 2), (2, 3)])
def test_fischer_net_has_the_computed_counts(write: int, wait: int) -> None:
    assert _counts(fischer(write, wait)) == (63, 104, 49)


@pytest.mark.parametrize(
    ("write", "wait", "is_safe"),
    [(1, 2, True), (2, 3, True), (2, 2, False), (1, 1, False), (2, 1, False), (3, 1, False)],
)
def test_fischer_is_safe_only_if_the_wait_exceeds_the_closed_write_bound(write: int, wait: int, is_safe: bool) -> None:
    graph = explored(fischer(write, wait), MOST)
    both = graph.count(lambda tokens: "cs1" in tokens and "cs2" in tokens)
    assert (both == 0) is is_safe


def test_fischer_with_a_strict_write_bound_is_safe_at_the_tie() -> None:
    """Strictly less than 2 is at most 2 - e for some small e: here a thousandth of the unit."""
    graph = explored(fischer(1_999, 2_000), MOST)
    assert graph.count(lambda tokens: "cs1" in tokens and "cs2" in tokens) == 0


# -- train, gate, controller -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("enters", "down", "is_safe"), [((2, 5), (0, 1), False), ((3, 5), (0, 1), True), ((3, 5), (0, 2), False)]
)
def test_train_gate_with_closed_bounds_is_unsafe_exactly_at_a_tie(
    enters: tuple[int, int], down: tuple[int, int], is_safe: bool
) -> None:
    graph = explored(train_gate(enters, down), MOST)
    assert (graph.count(lambda tokens: "s2" in tokens and "closed" not in tokens) == 0) is is_safe
    assert graph.count(lambda tokens: "s2" in tokens and "up" in tokens) == 0


def test_train_gate_negative_controls_fail() -> None:
    """The train does get in while the gate is down, and not only while it is up."""
    graph = explored(train_gate((3, 5), (0, 1)), MOST)
    assert graph.count(lambda tokens: "s2" in tokens and "closed" in tokens) > 0


# -- time-out protocol -------------------------------------------------------------------------------------------


def test_time_out_longer_than_the_round_trip_keeps_one_message_in_flight() -> None:
    graph = explored(time_out(5, 6), MOST)
    assert _counts(time_out(5, 6)) == (6, 8, 5)
    assert graph.count(lambda tokens: sum(tokens.get(place, 0) for place in ("msg", "proc", "ack")) > 1) == 0


@pytest.mark.parametrize("bounds", [(3, 4), (2, 3)])
def test_time_out_not_longer_than_the_round_trip_piles_up_messages(bounds: tuple[int, int]) -> None:
    with pytest.raises(TooManyClassesError):
        explored(time_out(*bounds), MOST)
