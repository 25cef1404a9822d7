"""The explorer against spin: equal sets of network states of the same widened file, and mutants that are told apart.

Without spin or gcc these tests are skipped, but on the build server (`CI` set) their absence is a failure.
"""

from __future__ import annotations

import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, reject, settings
from reference.exploration import EXACT, TooManyClassesError, explored, situation_of
from reference.small_networks import TICK_US, sequence_texts
from reference.spin_model import SpinModel, spin_situations
from reference.spin_names import SpinNames
from reference.tick_model import Situation
from reference.widened import widened

from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence, read_sequence_text

TRIALS = Path(__file__).with_name("trials")
TRIAL_TICK_US = 50_000
MOST_CLASSES = 1_500
MISSING = [tool for tool in ("spin", "gcc") if shutil.which(tool) is None]


@pytest.fixture(autouse=True)
def _tools() -> None:
    if not MISSING:
        return
    message = f"not installed: {', '.join(MISSING)}"
    if os.environ.get("CI"):
        pytest.fail(message)
    pytest.skip(message)


def _trial(name: str) -> Sequence:
    return widened(read_sequence(TRIALS / f"{name}.yaml"), TRIAL_TICK_US)


def _explored(sequence: Sequence, faults: int, names: tuple[str, ...]) -> set[Situation]:
    found = explored(sequence, EXACT, faults)
    return {situation_of(found.network, state, left, names) for state, left in found.states}


@pytest.mark.parametrize(
    ("name", "faults", "states"),
    [
        ("clamp_and_hood", 0, 290),
        ("clamp_and_hood", 1, 4_442),
        ("knife_with_circuit", 0, 1_719),
    ],
)
def test_spin_reaches_exactly_the_explorers_states_of_a_trial_file(
    name: str, faults: int, states: int, tmp_path: Path
) -> None:
    sequence = _trial(name)
    model = SpinModel(SpinNames(sequence, faults, TRIAL_TICK_US))
    by_spin = spin_situations(model, tmp_path)
    by_explorer = _explored(sequence, faults, model.names.controller.names)
    assert by_spin - by_explorer == set(), "reached by spin, but not by the explorer"
    assert by_explorer - by_spin == set(), "reached by the explorer, but not by spin"
    assert len(by_spin) == states


def test_an_explorer_that_is_given_another_time_of_the_clamp_is_told_apart_by_spin(tmp_path: Path) -> None:
    """A clamp that may take 450 ms outlasts the watchdog of 400 ms: its alarm becomes reachable at home and out."""
    text = (TRIALS / "clamp_and_hood.yaml").read_text(encoding="utf-8")
    mutant = widened(read_sequence_text(text.replace("120..250 ms", "120..450 ms"), "mutant.yaml"), TRIAL_TICK_US)
    model = SpinModel(SpinNames(_trial("clamp_and_hood"), 0, TRIAL_TICK_US))
    assert spin_situations(model, tmp_path) != _explored(mutant, 0, model.names.controller.names)


def test_an_explorer_that_is_given_another_order_of_ways_out_is_told_apart_by_spin(tmp_path: Path) -> None:
    sequence = _trial("knife_with_circuit")
    model = SpinModel(SpinNames(sequence, 0, TRIAL_TICK_US))
    chart = sequence.charts[0]
    mutant = replace(sequence, charts=(replace(chart, common=()), *sequence.charts[1:]))
    assert spin_situations(model, tmp_path) != _explored(mutant, 0, model.names.controller.names)


@pytest.mark.parametrize("faults", [0, 1])
def test_random_networks_have_the_same_states_by_spin(faults: int, tmp_path: Path) -> None:
    """Few, since each takes a compiler run; the tick search compares many."""
    compared: list[int] = []

    @settings(
        max_examples=5,
        phases=[Phase.generate],  # shrinking would take a compiler run a step
        deadline=None,
        derandomize=True,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )
    @given(sequence_texts(most_devices=3 - faults, most_charts=2 - faults))
    def compare(text: str) -> None:
        try:
            sequence = read_sequence_text(text, "small.yaml")
            model = SpinModel(SpinNames(sequence, faults, TICK_US))
            found = explored(sequence, EXACT, faults, MOST_CLASSES)
        except (SequenceFileError, NotImplementedError, TooManyClassesError):
            reject()
        if len(found.states) < 20:
            reject()
        names = model.names.controller.names
        expected = {situation_of(found.network, state, left, names) for state, left in found.states}
        assert spin_situations(model, tmp_path) == expected
        compared.append(len(expected))

    compare()
    assert len(compared) >= 5
