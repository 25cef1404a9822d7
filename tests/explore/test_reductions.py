"""Each reduction leaves out only what changes no verdict: the same values with it and without, on small sequences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest
from explore.trial_layers import PLAIN, TRIALS, explored, requirement_named, states_reached, trial, values

from seqcheck.check.group import explored_options, groups_of, monitors_of
from seqcheck.check.slice import sliced
from seqcheck.explore import search
from seqcheck.explore.bounds import Bounds
from seqcheck.explore.search import Search
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.state import State

REQUIREMENTS = [(name, part.id) for name in TRIALS for part in trial(name).requirements]
SOME = [("clamp", "I1"), ("clamp", "C2"), ("air", "I1"), ("filter", "I1"), ("filter", "O1"), ("gate", "N3"), ("gate", "D2")]
"""Under one failure each; the reductions one by one are held against these."""
REDUCTIONS = {
    "choose": replace(PLAIN, choose=True),
    "at_read": replace(PLAIN, at_read=True),
    "late": replace(PLAIN, late=True),
}
WHOLE: dict[tuple[str, str], object] = {}
"""Values without any reduction, worked out once."""


def _plain_values(name: str, requirement: str) -> object:
    if (name, requirement) not in WHOLE:
        sequence = trial(name)
        part = requirement_named(sequence, requirement)
        # A detection is defined by what shows, so that its failures are put off in any case.
        options = replace(PLAIN, given=part.given, late=part.kind == "detection")
        WHOLE[name, requirement] = values(explored(sequence, part, options))
    return WHOLE[name, requirement]


@pytest.mark.parametrize("reduction", REDUCTIONS)
@pytest.mark.parametrize(("name", "requirement"), SOME)
def test_a_reduction_by_itself_changes_no_value(name: str, requirement: str, reduction: str) -> None:
    sequence = trial(name)
    part = requirement_named(sequence, requirement)
    options = replace(REDUCTIONS[reduction], given=part.given)
    assert values(explored(sequence, part, options)) == _plain_values(name, requirement)


@pytest.mark.parametrize(("name", "requirement"), REQUIREMENTS)
def test_all_reductions_and_the_slice_change_no_value_of_any_requirement(name: str, requirement: str) -> None:
    """As a check explores it: with the options and the slice that its group gets."""
    sequence = trial(name)
    part = requirement_named(sequence, requirement)
    (first, *_) = groups_of(sequence, (part,), None)
    options = explored_options(first, monitors_of(part, sequence), True)
    kept = sliced(sequence, monitors_of(part, sequence))
    assert values(explored(kept, part, options)) == _plain_values(name, requirement)


@pytest.mark.parametrize(("name", "requirement"), SOME)
def test_a_slice_by_itself_changes_no_value(name: str, requirement: str) -> None:
    sequence = trial(name)
    part = requirement_named(sequence, requirement)
    kept = sliced(sequence, monitors_of(part, sequence))
    assert values(explored(kept, part, replace(PLAIN, given=part.given))) == _plain_values(name, requirement)


TIMED = [("clamp", "C1"), ("clamp", "D1"), ("air", "R1"), ("air", "C1"), ("filter", "C1"), ("gate", "D1")]
"""Durations without failures, small enough to be explored without dropping any class."""


@pytest.mark.parametrize(("name", "requirement"), TIMED)
def test_classes_that_are_skipped_because_a_later_one_covers_them_change_no_value(
    name: str, requirement: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sequence = trial(name)
    part = requirement_named(sequence, requirement)
    usual = values(explored(sequence, part, NetworkOptions(given=part.given)))
    monkeypatch.setattr(Search, "_is_covered", lambda *_: False)
    assert values(explored(sequence, part, NetworkOptions(given=part.given))) == usual


@pytest.mark.parametrize(("name", "requirement"), TIMED)
def test_classes_that_are_dropped_because_one_found_before_includes_them_change_no_value(
    name: str, requirement: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without inclusion only a class equal to one already found is dropped."""
    sequence = trial(name)
    part = requirement_named(sequence, requirement)
    usual = values(explored(sequence, part, NetworkOptions(given=part.given)))
    monkeypatch.setattr(search, "_is_included", _never_included)
    monkeypatch.setattr(Search, "_is_covered", lambda *_: False)
    assert values(explored(sequence, part, NetworkOptions(given=part.given))) == usual


def _never_included(_bounds: Bounds, _classes: list[Bounds]) -> bool:
    return False


# -- sets of states ------------------------------------------------------------------------------------------


def _seen_by_all(network: Network, found: Iterable[tuple[State, int]], chosen: Network) -> set[tuple[object, ...]]:
    """Memory, outputs and the facts of devices that are not chosen at the read."""
    left_out = {choice.device for choice in chosen.chosen}
    machines = [machine for machine in network.machines if machine.name not in left_out]
    return {
        (state.memory, state.computed, state.written, left, *(_facts(machine, state) for machine in machines))
        for state, left in found
    }


def _facts(machine: object, state: State) -> frozenset[str]:
    position = state.plant[machine.index]  # type: ignore[attr-defined]
    return frozenset(fact for fact, holders in machine.facts.items() if position in holders)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", TRIALS)
def test_inputs_chosen_at_the_read_leave_the_states_of_controller_and_machine_as_they_are(name: str) -> None:
    plain, chosen = (build_network(trial(name), (), replace(PLAIN, choose=on)) for on in (False, True))
    assert _seen_by_all(plain, states_reached(plain, 0), chosen) == _seen_by_all(
        chosen, states_reached(chosen, 0), chosen
    )


@pytest.mark.parametrize("name", ["clamp", "filter", "gate"])
@pytest.mark.parametrize("reduction", ["late", "at_read"])
def test_failures_put_off_leave_the_memory_outputs_and_facts_after_one_failure_as_they_are(
    name: str, reduction: str
) -> None:
    plain = build_network(trial(name), (), PLAIN)
    reduced = build_network(trial(name), (), REDUCTIONS[reduction])
    everything = _seen_by_all(plain, states_reached(plain, 1), plain)
    kept = _seen_by_all(reduced, states_reached(reduced, 1), plain)
    assert {state[:3] + state[4:] for state in kept} == {state[:3] + state[4:] for state in everything}


@pytest.mark.parametrize("name", ["clamp", "filter", "gate"])
def test_each_reduction_has_something_to_leave_out(name: str) -> None:
    """A test of these tests: the trials are such that fewer states are stored."""
    plain = build_network(trial(name), (), PLAIN)
    reduced = build_network(trial(name), (), NetworkOptions())
    assert len(states_reached(reduced, 1)) < len(states_reached(plain, 1))
