"""The explorer against brute force in ticks: equal sets of network states, and mutants that are told apart.

Without reductions every state must be the same, in every detail: steps, timers, latches, edges, flags, alarms, outputs
computed and written, the phase of the scan, positions, stuck contacts, delayed inputs, failures left. With reductions on,
what `projections.py` lists is dropped first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, reject, settings
from reference.comparison import Sides, all_states, states_without_chosen_inputs, visible_states
from reference.exploration import EXACT, TooManyClassesError, explored, situation_of
from reference.single_devices import SWITCHED_DEVICES, single_device_texts
from reference.small_networks import TICK_US, sequence_texts
from reference.tick_model import InstantLoop, TickModel
from reference.tick_search import TooManyError, reached_situations
from reference.widened import widened

from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence, read_sequence_text

TRIALS = Path(__file__).with_name("trials")
TRIAL_TICK_US = 50_000
MOST_OF_A_TRIAL = 400_000
MOST = 1_500
"""Tick states, and classes, of a random network; larger ones are not compared."""

SMALL = settings(
    deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)


def _read(text: str) -> Sequence:
    try:
        return read_sequence_text(text, "small.yaml")
    except SequenceFileError:
        reject()


def _assert_equal(sides: Sides) -> None:
    ticks, found = sides
    assert ticks - found == set(), "reached in ticks, but not by the explorer"
    assert found - ticks == set(), "reached by the explorer, but not in ticks"


# -- stored trial files ------------------------------------------------------------------------------------------


def _trial(name: str) -> Sequence:
    return widened(read_sequence(TRIALS / f"{name}.yaml"), TRIAL_TICK_US)


@pytest.mark.parametrize(
    ("name", "faults", "states"),
    [("clamp_and_hood", 0, 290), ("clamp_and_hood", 1, 4442), ("knife_with_circuit", 0, 1719), ("press_on_air", 0, 669)],
)
def test_a_trial_file_has_the_same_states_by_both_ways(name: str, faults: int, states: int) -> None:
    sides = all_states(_trial(name), faults, TRIAL_TICK_US, MOST_OF_A_TRIAL)
    _assert_equal(sides)
    assert len(sides[0]) == states


@pytest.mark.parametrize("name", ["clamp_and_hood", "knife_with_circuit", "press_on_air"])
def test_a_trial_file_has_the_same_states_when_inputs_are_chosen_at_the_read(name: str) -> None:
    _assert_equal(states_without_chosen_inputs(_trial(name), TRIAL_TICK_US, MOST_OF_A_TRIAL))


def test_a_trial_file_with_one_late_fault_looks_the_same_to_requirements() -> None:
    _assert_equal(visible_states(_trial("clamp_and_hood"), 1, TRIAL_TICK_US, MOST_OF_A_TRIAL))


# -- every device type -------------------------------------------------------------------------------------------

DEVICE_TEXTS = single_device_texts()


@pytest.mark.parametrize("name", DEVICE_TEXTS)
def test_a_device_alone_has_the_same_states_without_faults(name: str) -> None:
    _assert_equal(all_states(read_sequence_text(DEVICE_TEXTS[name], name), 0, TICK_US, MOST_OF_A_TRIAL))


@pytest.mark.parametrize("name", [*SWITCHED_DEVICES, "web_break", "sensor", "supply", "splice"])
def test_a_device_alone_has_the_same_states_with_one_fault(name: str) -> None:
    _assert_equal(all_states(read_sequence_text(DEVICE_TEXTS[name], name), 1, TICK_US, MOST_OF_A_TRIAL))


@pytest.mark.parametrize("name", [name for name in DEVICE_TEXTS if name != "cylinder with energy"])
def test_a_device_alone_with_one_late_fault_looks_the_same_to_requirements(name: str) -> None:
    _assert_equal(visible_states(read_sequence_text(DEVICE_TEXTS[name], name), 1, TICK_US, MOST_OF_A_TRIAL))


# -- random networks ---------------------------------------------------------------------------------------------


@settings(SMALL, max_examples=100)
@given(sequence_texts())
def test_random_networks_have_the_same_states_without_faults(text: str) -> None:
    sequence = _read(text)
    try:
        sides = all_states(sequence, 0, TICK_US, MOST)
    except (TooManyError, TooManyClassesError, InstantLoop):
        reject()
    _assert_equal(sides)


@settings(SMALL, max_examples=50)
@given(sequence_texts(most_devices=2, most_steps=3, most_charts=1))
def test_random_networks_have_the_same_states_with_one_fault(text: str) -> None:
    sequence = _read(text)
    try:
        sides = all_states(sequence, 1, TICK_US, MOST)
    except (TooManyError, TooManyClassesError, InstantLoop):
        reject()
    _assert_equal(sides)


@settings(SMALL, max_examples=30)
@given(sequence_texts())
def test_random_networks_have_the_same_states_when_inputs_are_chosen_at_the_read(text: str) -> None:
    sequence = _read(text)
    try:
        sides = states_without_chosen_inputs(sequence, TICK_US, MOST)
    except (TooManyError, TooManyClassesError, InstantLoop):
        reject()
    _assert_equal(sides)


@settings(SMALL, max_examples=30)
@given(sequence_texts(most_devices=2, most_steps=3, most_charts=1))
def test_random_networks_with_one_late_fault_look_the_same_to_requirements(text: str) -> None:
    sequence = _read(text)
    try:
        sides = visible_states(sequence, 1, TICK_US, MOST)
    except (TooManyError, TooManyClassesError, InstantLoop):
        reject()
    _assert_equal(sides)


# -- the comparison can fail -------------------------------------------------------------------------------------

RACE = """\
sequence: race
scan: {{period: 10..20 ms, write: 0 ms}}
devices:
  slow: {{type: cylinder, out: {slow}, back: 10..20 ms, output: go, switches: {{out: slow_out}}}}
  fast: {{type: timed, on: {fast}, off: 10..20 ms, output: go, signal: fast_on}}
alarms: {{w: {{text: slow first, clear: FALSE}}}}
charts:
  x:
    a: {{initial: true, do: [go], within: {within}, alarm: w, next: {{b: slow_out AND NOT fast_on, c: fast_on}}}}
    b: {{do: [{{go: {qualifier}}}]}}
    c: {{}}
"""


def _race(slow: str = "50..60 ms", fast: str = "20..30 ms", within: str = "100 ms", qualifier: str = "L 30 ms") -> Sequence:
    return read_sequence_text(
        RACE.format(slow=slow, fast=fast, within=within, qualifier=qualifier), "race.yaml"
    )


def _ticks_against_explorer_of(original: Sequence, mutant: Sequence) -> bool:
    """Whether the ticks of one are the states of the other; cells are compared by name, so both have the same."""
    model = TickModel(original, 0)
    found = explored(mutant, EXACT, 0)
    states = {situation_of(found.network, state, left, model.controller.names) for state, left in found.states}
    return reached_situations(model, 10_000, MOST_OF_A_TRIAL) == states


def test_the_race_itself_has_equal_states() -> None:
    assert _ticks_against_explorer_of(_race(), _race())


@pytest.mark.parametrize(
    "mutant",
    [_race(slow="30..60 ms"), _race(fast="20..60 ms")],
    ids=["slow may be sooner", "fast may be later"],
)
def test_an_explorer_that_is_given_one_other_bound_is_told_apart(mutant: Sequence) -> None:
    assert not _ticks_against_explorer_of(_race(), mutant)


def _clamp_trials() -> tuple[Sequence, Sequence]:
    """The trial, and the same with a clamp that may be slower than its watchdog."""
    text = (TRIALS / "clamp_and_hood.yaml").read_text(encoding="utf-8")
    slower = widened(read_sequence_text(text.replace("120..250 ms", "120..450 ms"), "mutant.yaml"), TRIAL_TICK_US)
    return _trial("clamp_and_hood"), slower


def test_with_chosen_inputs_a_slower_clamp_is_told_apart() -> None:
    trial, slower = _clamp_trials()
    ticks, found = states_without_chosen_inputs(trial, TRIAL_TICK_US, MOST_OF_A_TRIAL, slower)
    assert ticks != found


@pytest.mark.parametrize("compared", [all_states, visible_states])
def test_with_one_fault_switches_with_a_wide_band_are_told_apart(compared: Callable[..., Sides]) -> None:
    """Faults make slow clamps anyway; they do not make switches that come on long before the end, all of them."""
    text = (TRIALS / "clamp_and_hood.yaml").read_text(encoding="utf-8")
    wide = widened(read_sequence_text(text.replace("5..40 ms", "600..700 ms"), "mutant.yaml"), TRIAL_TICK_US)
    ticks, found = compared(_trial("clamp_and_hood"), 1, TRIAL_TICK_US, MOST_OF_A_TRIAL, wide)
    assert ticks != found


def test_an_explorer_that_is_given_another_scan_is_told_apart() -> None:
    original = _race()
    longer = replace(original.scan, period=TimeRange(10_000, 60_000))
    assert not _ticks_against_explorer_of(original, replace(original, scan=longer))


def test_widening_rounds_every_time_outward() -> None:
    sequence = _race(slow="31..44 ms", within="99 ms", qualifier="L 21 ms")
    copy = widened(sequence, 10_000)
    slow = copy.devices[0].value("out", TimeRange)
    steps = copy.charts[0].steps
    assert slow == TimeRange(30_000, 50_000)
    assert copy.scan.period == sequence.scan.period
    assert steps[0].watchdog is not None
    assert steps[0].watchdog.limit_us == 100_000
    assert steps[1].actions[0].time_us == 30_000


def test_a_range_that_is_no_whole_number_of_ticks_is_refused() -> None:
    with pytest.raises(ValueError, match="no whole number of ticks"):
        reached_situations(TickModel(_race(slow="31..44 ms"), 0), 10_000, MOST)
