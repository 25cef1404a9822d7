"""Hypothesis strategies for property tests of a sequence: who does what and when, and how the times fall.

Nothing in the package imports this module by itself; whoever does needs Hypothesis.
"""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from seqcheck.kernel.network import Network
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded
from seqcheck.simulate.interventions import Does, Intervention


@dataclass(frozen=True, slots=True)
class Scenario:
    """A script of acts and failures, and the number from which every other time is drawn."""

    seed: int
    script: tuple[Intervention, ...]

    def chooser(self) -> Chooser:
        """A chooser for one run of it."""
        return Scripted(Seeded(seed=self.seed), self.script)


def scenarios(
    network: Network, *, until_us: int, most_acts: int = 8, most_failures: int = 1
) -> st.SearchStrategy[Scenario]:
    """Scenarios of up to `most_acts` acts and `most_failures` failures in the first `until_us` of a run."""
    times = st.integers(0, until_us)
    seeds = st.integers(0, 2**16)
    acts = _interventions(Does.ACT, _acts(network), times, most_acts)
    failures = tuple((mode.name, "") for mode in network.failures)
    fails = _interventions(Does.FAIL, failures, times, most_failures)
    return st.builds(lambda seed, done, failed: Scenario(seed, (*done, *failed)), seeds, acts, fails)


def _acts(network: Network) -> tuple[tuple[str, str], ...]:
    """Every act that some position of some device allows, in a fixed order."""
    found = {
        (machine.name, move.act): None
        for machine in network.machines
        for place in machine.places
        for move in place.free
    }
    return tuple(found)


def _interventions(
    does: Does, what: tuple[tuple[str, str], ...], times: st.SearchStrategy[int], most: int
) -> st.SearchStrategy[tuple[Intervention, ...]]:
    if not what or not most:
        return st.just(())
    one = st.builds(
        lambda time_us, part: Intervention(time_us=time_us, does=does, subject=part[0], action=part[1]),
        times,
        st.sampled_from(what),
    )
    return st.lists(one, max_size=most).map(tuple)
