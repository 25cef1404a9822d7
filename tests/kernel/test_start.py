"""Where a run starts: as usual, or anywhere."""

from __future__ import annotations

from kernel.stepping import PLAIN, ByHand, network_of

from seqcheck.kernel.memory import TIMER_RUNNING
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.start import Start, starts_anywhere

TEXT = """\
devices:
  k: {type: cylinder, out: 100..200 ms, back: 80..90 ms, output: o}
  b: {type: pushbutton, pressed: p}
charts: {c: {a: {initial: true, next: {d: p}}, d: {do: [{o: L 50 ms}], within: 1 s, alarm: w}}}
alarms: {w: {text: late, clear: p}}
"""


def _places(network: Network, start: Start) -> tuple[str, ...]:
    pairs = zip(network.machines, start.state.plant, strict=True)
    return tuple(machine.places[position].label for machine, position in pairs)


def test_the_normal_start_has_every_device_and_step_in_its_initial_position() -> None:
    run = ByHand(network_of(TEXT))
    assert (run.position("k"), run.position("b"), run.steps(), run.outputs()) == ("home", "released", ("a",), ())


def test_anywhere_has_every_rest_position_with_memory_cold_or_retained_in_any_step() -> None:
    """A cylinder found out has no air on it: it falls back at once. Cold is the same as retained in the initial step."""
    network = network_of(TEXT, PLAIN)
    starts, is_complete = starts_anywhere(network, 1_000)
    assert is_complete
    steps = {(start.state.memory[0], *_places(network, start)) for start in starts}
    bodies = {("home", "released"), ("home", "pressed"), ("going_back", "released"), ("going_back", "pressed")}
    assert {place[1:] for place in steps} >= bodies
    assert {place[0] for place in steps} == {0, 1}


def test_anywhere_no_device_starts_failed_and_no_output_is_on() -> None:
    network = network_of(TEXT, PLAIN)
    starts, _ = starts_anywhere(network, 1_000)
    assert {start.state.written for start in starts} == {0}
    assert {start.state.stuck_on | start.state.stuck_off for start in starts} == {0}
    modes = {
        machine.places[position].mode
        for start in starts
        for machine, position in zip(network.machines, start.state.plant, strict=True)
    }
    assert modes == {""}


def test_retained_steps_start_their_times_anew() -> None:
    """The watchdog of step d and the limit of its action: else a limited output would stay on for ever."""
    network = network_of(TEXT, PLAIN)
    starts, _ = starts_anywhere(network, 1_000)
    labels = network.controller.cell_labels
    for start in starts:
        if start.state.memory[0] == 1:
            assert start.state.memory[labels.index("c.d watchdog")] == TIMER_RUNNING
            assert start.state.memory[labels.index("c.d o L")] == TIMER_RUNNING


def test_an_input_chosen_at_the_read_needs_no_starting_positions_of_its_own() -> None:
    network = network_of(TEXT, NetworkOptions(late=False, at_read=False))
    starts, _ = starts_anywhere(network, 1_000)
    assert {_places(network, start)[1] for start in starts} == {"released"}


def test_the_limit_on_starts_is_told() -> None:
    starts, is_complete = starts_anywhere(network_of(TEXT, PLAIN), 2)
    assert (len(starts), is_complete) == (2, False)
