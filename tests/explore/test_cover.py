"""Classes that a layer with fewer failures covers change no verdict, no value and no length of a shortest way."""

from __future__ import annotations

from pathlib import Path

import pytest
from explore.trial_layers import TRIALS, explored, requirement_named, trial, values

from seqcheck.check.group import Group, explored_options, group_monitors, groups_of, monitors_of
from seqcheck.explore.layers import LayeredSearch
from seqcheck.explore.summary import Exploration
from seqcheck.kernel.build import build_network
from seqcheck.language.sequence import Hypothesis, Sequence
from seqcheck.reader.read import read_sequence

ANY_TWO = Hypothesis(count=2)
DEFECTS = Path(__file__).parents[1] / "defects"
COVERABLE = [
    (name, part.id)
    for name in TRIALS
    for part in trial(name).requirements
    if part.kind not in ("detection", "recovery") and not part.under.controller
]
SPLICES = ("stroke_too_short",)
GROUPS = 4
"""Explorations of a splice that are compared, each with and without covering; all of them were, once."""


def _shortest(found: Exploration) -> list[object]:
    """For each monitor the kind and cost of its first violation."""
    return [part.bad and (part.bad.kind, part.bad.cost) for part in found.summaries]


@pytest.mark.parametrize("hypothesis", [None, ANY_TWO], ids=["as stated", "any two"])
@pytest.mark.parametrize(("name", "requirement"), COVERABLE)
def test_covered_classes_change_nothing_that_is_found(
    name: str, requirement: str, hypothesis: Hypothesis | None
) -> None:
    sequence = trial(name)
    part = requirement_named(sequence, requirement)
    (first, *_) = groups_of(sequence, (part,), None)
    options = explored_options(first, monitors_of(part, sequence), True)
    whole = explored(sequence, part, options, hypothesis)
    covered = explored(sequence, part, options, hypothesis, covers=True)
    assert values(covered) == values(whole)
    assert _shortest(covered) == _shortest(whole)


def _group_explored(sequence: Sequence, group: Group, covers: bool) -> Exploration:
    monitors = group_monitors(sequence, group)
    network = build_network(sequence, monitors, explored_options(group, monitors, True))
    layered = LayeredSearch(network=network, monitors=monitors, hypothesis=group.hypothesis, covers=covers)
    found, seeds = layered.base()
    for failures, first in seeds.items():
        found = found.merged(layered.job(failures, first))
    return found


@pytest.mark.parametrize("name", SPLICES)
def test_covered_classes_change_nothing_in_splices_with_any_one_failure(name: str) -> None:
    sequence = read_sequence(DEFECTS / f"{name}.yaml")
    fewer = 0
    for group in groups_of(sequence, sequence.requirements, None)[:GROUPS]:
        if group.timed_from_fault or group.procedure is not None or group.hypothesis.controller:
            continue
        whole, covered = (_group_explored(sequence, group, covers) for covers in (False, True))
        assert values(covered) == values(whole)
        assert _shortest(covered) == _shortest(whole)
        fewer += whole.classes - covered.classes
    assert fewer > 0, "there must be something to leave out, or this test shows nothing"
