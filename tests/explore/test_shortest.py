"""The first violation has fewest operator acts, then fewest events."""

from __future__ import annotations

from heapq import heappop, heappush

import pytest
from explore.trial_layers import explored, requirement_named, trial

from seqcheck.check.group import monitors_of
from seqcheck.explore.search import Search
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.language.sequence import Hypothesis, Sequence
from seqcheck.reader.read import read_sequence_text

DETOUR = """\
sequence: A long way without an act, a short one with it
scan: {period: 10 ms, write: 0 ms}
devices:
  g: {type: free, states: {
      shut: {initial: true, next: {ajar: {act: opens}}},
      ajar: {facts: is_ajar, next: {wide: {after: 1..2 ms}}},
      wide: {next: {off: {after: 1..2 ms}}},
      off: {facts: is_off}}}
  k: {type: free, states: {
      k1: {initial: true, next: {k2: {after: 1000..1001 ms}}},
      k2: {next: {k3: {after: 1..2 ms}}},
      k3: {next: {k4: {after: 1..2 ms}}},
      k4: {next: {k5: {after: 1..2 ms}}},
      k5: {facts: is_last}}}
charts: {c: {a: {initial: true}}}
requirements: [{id: N, "never": "g.is_off OR g.is_ajar AND k.is_last"}]
"""


def _least_cost(sequence: Sequence, requirement: str) -> tuple[int, int]:
    """Acts and events of the cheapest way to a bad state, over all steps that any class takes (least-cost search)."""
    part = requirement_named(sequence, requirement)
    monitors = monitors_of(part, sequence)
    network = build_network(sequence, monitors, NetworkOptions(given=part.given))
    search = Search(network=network, monitors=monitors)
    search.begin_at(normal_start(network))
    search.run()
    queue = [(0, 0, search.class_nodes[0].number)]
    nodes = {node.number: node for node in search.nodes.values()}
    done: set[int] = set()
    while queue:
        acts, events, number = heappop(queue)
        if number in done:
            continue
        done.add(number)
        if network.watches[0].is_bad(nodes[number].state):
            return acts, events
        for group in nodes[number].steps:
            for step in group or ():
                if step.was_taken:
                    heappush(queue, (acts + step.acts, events + 1, step.target.number))
    raise AssertionError("no bad state is reached")


def test_a_short_way_with_an_act_is_found_before_a_long_one_with_as_many() -> None:
    """The gate opens and is off two moves later; not: four moves of k first."""
    sequence = read_sequence_text(DETOUR, "detour.yaml")
    found = explored(sequence, sequence.requirements[0], NetworkOptions(), Hypothesis()).summaries[0].bad
    assert found is not None
    assert found.cost == (0, 1, 3)


@pytest.mark.parametrize("requirement", ["N1"])
def test_no_way_through_the_graph_of_states_is_cheaper(requirement: str) -> None:
    sequence = trial("clamp")
    part = requirement_named(sequence, requirement)
    found = explored(sequence, part, NetworkOptions(given=part.given), Hypothesis()).summaries[0].bad
    assert found is not None
    assert found.cost == (0, *_least_cost(sequence, requirement))


def test_the_same_of_the_detour() -> None:
    sequence = read_sequence_text(DETOUR, "detour.yaml")
    found = explored(sequence, sequence.requirements[0], NetworkOptions(), Hypothesis()).summaries[0].bad
    assert found is not None
    assert found.cost == (0, *_least_cost(sequence, "N"))
