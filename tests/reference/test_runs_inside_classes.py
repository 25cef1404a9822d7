"""Every state of every concrete run is a state that the explorer has found.

The runs read periodically, the explorer on demand; the runs press real buttons, the explorer chooses at the
read what it sees. So the scan phase and those inputs are left out of the comparison.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from seqcheck.explore.limits import StopReason
from seqcheck.explore.search import Search
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Seeded
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.simulate import simulate

FOLDER = Path(__file__).parent
FILES = ("clamp_and_knife", "delayed_switches")
FAILURES = {
    "clamp_and_knife": (
        "clamp.jams",
        "knife.valve_sticks",
        "clamp.out_signal_stuck_on",
        "knife.home_signal_stuck_off",
    ),
    "delayed_switches": ("bar.jams", "bar.slow", "bar.out_signal_stuck_on", "bar.out_signal_stuck_off"),
}
"""Some of each kind: bodies that stop or slow down, contacts that hide a change or show at once."""

Place = tuple[object, ...]


@cache
def _networks(name: str) -> tuple[Network, Network]:
    """The network that runs, with real buttons, and the one explored, with inputs chosen at the read."""
    sequence = read_sequence(FOLDER / f"{name}.yaml")
    return (
        build_network(sequence, (), NetworkOptions(choose=False, at_read=False)),
        build_network(sequence, (), NetworkOptions(choose=True, at_read=False)),
    )


def _place(name: str, state: State) -> Place:
    """The state without scan phase, watches and the inputs that the explorer chooses at reads."""
    explored = _networks(name)[1]
    chosen = {choice.device for choice in explored.chosen}
    kept = sum(choice.bit for choice in explored.chosen)
    plant = tuple(state.plant[part.index] for part in explored.machines if part.name not in chosen)
    inputs = (state.signals & ~kept, state.seen & ~kept)
    return (state.memory, state.computed, state.written, plant, state.stuck_on, state.stuck_off, inputs)


@cache
def _explored(name: str) -> frozenset[Place]:
    """The states of all runs without a failure and with one of the listed ones."""
    network = _networks(name)[1]
    allowed = frozenset(mode.index for mode in network.failures if mode.name in FAILURES[name])
    assert len(allowed) == len(FAILURES[name])
    first = Search(network=network, monitors=(), allowed=allowed, budget=1)
    first.begin_at(normal_start(network))
    first.run()
    searches = [first]
    for seeds in first.seeds.values():
        search = Search(network=network, monitors=())
        search.begin_with(tuple(seeds))
        search.run()
        searches.append(search)
    assert all(search.stop is StopReason.FINISHED for search in searches)
    return frozenset(_place(name, node.state) for search in searches for node in search.nodes.values())


def _run(name: str, seed: int, probability: float) -> Run:
    chooser = Seeded(
        seed=seed, act_gap_us=(0, 100_000), failure_probability=probability, failures=FAILURES[name]
    )
    return simulate(_networks(name)[0], chooser, until_us=8_000_000)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize(("probability", "least"), [(0.0, 30), (0.05, 100)])
def test_no_run_leaves_what_the_explorer_found(name: str, probability: float, least: int) -> None:
    """Random times, acts and failures; the runs together see at least so many different states."""
    explored = _explored(name)
    seen: set[Place] = set()
    faults = 0
    for seed in range(12):
        run = _run(name, seed, probability)
        assert run.stop is RunStop.UNTIL
        places = {_place(name, happening.edge.target) for happening in run.schedule.happenings}
        assert places <= explored
        seen |= places
        faults += sum(len(happening.edge.event.faults) for happening in run.schedule.happenings)
    assert (faults > 0) == (probability > 0)
    assert len(seen) > least


def test_a_run_with_another_failure_leaves_it() -> None:
    """The comparison can fail: a failure that the search was not allowed leads outside."""
    network = _networks("delayed_switches")[0]
    chooser = Seeded(seed=3, act_gap_us=(0, 150_000), failure_probability=1.0, failures=("bar.valve_sticks",))
    run = simulate(network, chooser, until_us=1_000_000)
    places = {_place("delayed_switches", part.edge.target) for part in run.schedule.happenings}
    assert not places <= _explored("delayed_switches")
