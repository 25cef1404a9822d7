"""The explorer against spin on copies of the bundled sequences: equal sets of projected network states.

A copy has every range widened to multiples of a tick, every single time rounded up, and times that a device works out from others
stated, so that they are whole ticks too (`bundled_copies.py`); the delay of the printed film's mark sensor is left out. No
device, circuit, chart or act is left out. The ticks are in `TICKS_MS`: with 50 ms spin did not finish the carton line (more than
19 million tick states in 280 s); the two newest files were not tried below 200 ms. A new file is compared at `OTHER_TICKS_MS`, or
skipped if spin does not finish.

Left out of the states, on both sides, by `without_chosen`: the values of inputs that a read chooses (pushbuttons and selectors that
only the controller looks at), and the phase of the scan. Spin's model does not store these inputs either (`spin_chosen.py`), by an
argument of its own, which a test here holds against its model that stores them.

With a fault it is any one failure of the device that `FAILING` names, not any one of all: with all of the wipes line's 83 spin did
not finish (5 million tick states in 280 s). The explorer then runs with all reductions, compared by what requirements see
(`visible`), and without late faults and contacts failing at the read, compared as without faults.

Without spin or gcc these tests are skipped, but on the build server (`CI` set) their absence is a failure.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from reference.bundled_copies import whole_ticks, without_delays
from reference.exploration import REDUCED, Explored, explored, situation_of
from reference.named_faults import explored_with_faults_of, names_with_faults_of
from reference.projections import visible, without_chosen
from reference.spin_model import SpinModel, spin_situations
from reference.spin_names import SpinNames
from reference.tick_model import Situation
from reference.widened import widened

from seqcheck.kernel.network import NetworkOptions
from seqcheck.language.sequence import Chart, Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence

SEQUENCES = Path(__file__).parents[2] / "sequences"
TRIALS = Path(__file__).with_name("trials")
WIPES = "wipes_line_butt_splice"
TICKS_MS = {
    WIPES: (50, 1000),
    "carton_line_flying_splice": (500,),
    "nonwoven_rewind_cut_over": (200,),
    "printed_film_registered_splice": (200,),
}
OTHER_TICKS_MS = (1000,)
FAILING = ((WIPES, "knife", 50),)
"""File, device and tick in ms of the comparisons with a fault."""
FAULTS_AS_EVENTS = NetworkOptions(late=False, at_read=False)
"""Only inputs chosen at the read are left of the reductions."""
CASES = [
    (path.stem, tick_ms)
    for path in sorted(SEQUENCES.glob("*.yaml"))
    for tick_ms in TICKS_MS.get(path.stem, OTHER_TICKS_MS)
]
FEWEST = 400
"""States; a comparison of fewer would not have got past power-up."""
MISSING = [tool for tool in ("spin", "gcc") if shutil.which(tool) is None]


@pytest.fixture(autouse=True)
def _tools() -> None:
    if not MISSING:
        return
    message = f"not installed: {', '.join(MISSING)}"
    if os.environ.get("CI"):
        pytest.fail(message)
    pytest.skip(message)


def _copy(name: str, tick_ms: int) -> Sequence:
    return whole_ticks(without_delays(read_sequence(SEQUENCES / f"{name}.yaml")), tick_ms * 1000)


def _by_explorer(found: Explored, model: SpinModel) -> list[Situation]:
    names = model.names.controller.names
    return [situation_of(found.network, state, left, names) for state, left in found.states]


def _assert_equal(by_spin: set[object], by_explorer: set[object]) -> None:
    assert by_spin - by_explorer == set(), "reached by spin, but not by the explorer"
    assert by_explorer - by_spin == set(), "reached by the explorer, but not by spin"


def _unreached(chart: Chart, model: SpinModel, situations: set[Situation]) -> set[str]:
    cell = model.names.cells[chart.name]
    return {step.name for step in chart.steps} - {str(situation.memory[cell]) for situation in situations}


@pytest.mark.parametrize(("name", "tick_ms"), CASES)
def test_spin_reaches_the_states_of_a_bundled_sequence_without_faults(
    name: str, tick_ms: int, tmp_path: Path
) -> None:
    sequence = _copy(name, tick_ms)
    model = SpinModel(SpinNames(sequence, 0, tick_ms * 1000, choose=True))
    found = explored(sequence, REDUCED, 0)
    without = partial(without_chosen, network=found.network)
    try:
        by_spin = spin_situations(model, tmp_path)
    except subprocess.TimeoutExpired as limit:
        if name in TICKS_MS:
            raise
        pytest.skip(f"spin does not finish in {limit.timeout} s")
    _assert_equal(set(map(without, by_spin)), set(map(without, _by_explorer(found, model))))
    assert len(set(map(without, by_spin))) >= FEWEST


def test_the_wipes_lines_copy_in_seconds_enters_every_step_but_that_of_a_broken_web(tmp_path: Path) -> None:
    """So what is compared is whole splices, and not power-up alone; the web breaks only by a fault."""
    sequence = _copy(WIPES, 1000)
    model = SpinModel(SpinNames(sequence, 0, 1_000_000, choose=True))
    by_spin = spin_situations(model, tmp_path)
    assert {chart.name: _unreached(chart, model, by_spin) for chart in sequence.charts} == {
        "guard": set(), "web_watch": {"lost"}, "preparation": set(), "splice": set(),
    }  # fmt: skip


@pytest.mark.parametrize(("name", "device", "tick_ms"), FAILING)
def test_spin_reaches_the_states_of_a_bundled_sequence_with_one_fault_of_a_device(
    name: str, device: str, tick_ms: int, tmp_path: Path
) -> None:
    sequence = _copy(name, tick_ms)
    model = SpinModel(names_with_faults_of(sequence, device, tick_ms * 1000))
    by_spin = spin_situations(model, tmp_path)
    assert {situation.left for situation in by_spin} == {0, 1}
    found = explored_with_faults_of(sequence, device, FAULTS_AS_EVENTS)
    without = partial(without_chosen, network=found.network)
    _assert_equal(set(map(without, by_spin)), set(map(without, _by_explorer(found, model))))
    found = explored_with_faults_of(sequence, device, REDUCED)
    seen = partial(visible, network=found.network, machine=model.names.machine)
    _assert_equal(set(map(seen, by_spin)), set(map(seen, _by_explorer(found, model))))


Mutation = Callable[[Sequence], Sequence]


def _with_slower_clamp(sequence: Sequence) -> Sequence:
    """The clamp may take 100 ms longer than the file says."""
    clamp = next(device for device in sequence.devices if device.name == "clamp")
    entries = tuple(
        replace(entry, value=TimeRange(100_000, 350_000)) if entry.name == "out" else entry
        for entry in clamp.entries
    )
    slower = replace(clamp, entries=entries)
    return replace(
        sequence, devices=tuple(slower if device is clamp else device for device in sequence.devices)
    )


def _without_last_trip(sequence: Sequence) -> Sequence:
    """The last of the splice's trips, that of guard, web and late motions, is gone."""
    splice = sequence.chart("splice")
    trimmed = replace(splice, common=splice.common[:-1])
    return replace(
        sequence, charts=tuple(trimmed if chart.name == "splice" else chart for chart in sequence.charts)
    )


@pytest.mark.parametrize("mutate", [_with_slower_clamp, _without_last_trip], ids=["range", "condition"])
def test_an_explorer_that_is_given_another_wipes_line_is_told_apart_by_spin(
    mutate: Mutation, tmp_path: Path
) -> None:
    sequence = _copy(WIPES, 50)
    model = SpinModel(SpinNames(sequence, 0, 50_000, choose=True))
    found = explored(mutate(sequence), REDUCED, 0)
    without = partial(without_chosen, network=found.network)
    assert set(map(without, spin_situations(model, tmp_path))) != set(
        map(without, _by_explorer(found, model))
    )


@pytest.mark.parametrize("faults", [0, 1])
def test_inputs_chosen_at_the_read_change_nothing_else_for_spin(faults: int, tmp_path: Path) -> None:
    """The model that stores the inputs and the one that does not, on a trial file."""
    sequence = widened(read_sequence(TRIALS / "clamp_and_hood.yaml"), 50_000)
    stored, chosen = (
        SpinModel(SpinNames(sequence, faults, 50_000, choose=choose)) for choose in (False, True)
    )
    assert chosen.names.chosen, "the trial has no input to choose"
    network = explored(sequence, REDUCED, faults).network
    without = partial(without_chosen, network=network)
    assert set(map(without, spin_situations(stored, tmp_path))) == set(
        map(without, spin_situations(chosen, tmp_path))
    )
