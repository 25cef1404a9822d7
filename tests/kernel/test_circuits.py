"""Safety circuits: drop, reset, two channels, welded contacts."""

from __future__ import annotations

from kernel.stepping import ByHand, network_of

DEVICES = """\
devices:
  h: {type: emergency_stop, healthy: ok}
  g: {type: emergency_stop, healthy: ok_2}
  b: {type: pushbutton, pressed: reset}
charts: {c: {a: {initial: true}}}
"""
ONE = f"{DEVICES}circuits: {{e: {{channels: [ok], drop: 10..15 ms, signal: e_on}}}}\n"
RESET = f"{DEVICES}circuits: {{e: {{channels: [ok], drop: 10..15 ms, reset: reset, signal: e_on}}}}\n"
TWO = f"{DEVICES}circuits: {{e: {{channels: [ok, ok_2], drop: 10..15 ms, discrepancy: 500 ms, signal: e_on}}}}\n"


def test_a_circuit_starts_energised() -> None:
    run = ByHand(network_of(ONE))
    assert (run.position("e"), run.signals()) == ("on", ("ok", "ok_2", "e_on"))


def test_it_drops_within_its_range_and_holds_energy_until_then() -> None:
    run = ByHand(network_of(ONE)).fire("read", "h presses")
    assert run.pending() == {"e drop": (10_000, 15_000)}
    assert "e_on" in run.signals()
    assert "e_on" not in run.fire("e off").signals()


def test_a_channel_that_returns_does_not_stop_the_drop() -> None:
    run = ByHand(network_of(ONE)).fire("read", "h presses", "h pulls")
    assert run.pending() == {"e drop": (10_000, 15_000)}
    assert run.goes_on() == {"e drop"}


def test_without_a_reset_it_returns_with_its_channels() -> None:
    assert ByHand(network_of(ONE)).fire("read", "h presses", "e off", "h pulls").position("e") == "on"


def test_with_a_reset_it_does_not_return_by_itself() -> None:
    assert ByHand(network_of(RESET)).fire("read", "h presses", "e off", "h pulls").position("e") == "off_armed"


def test_it_returns_when_the_reset_rises_while_every_channel_holds() -> None:
    run = ByHand(network_of(RESET)).fire("read", "h presses", "e off", "h pulls", "b presses")
    assert run.position("e") == "on"


def test_a_reset_held_since_before_the_drop_is_no_reset() -> None:
    run = ByHand(network_of(RESET)).fire("read", "b presses", "h presses", "e off", "h pulls")
    assert run.position("e") == "off"
    assert run.fire("b releases").position("e") == "off_armed"
    assert run.fire("b presses").position("e") == "on"


def test_a_reset_while_a_channel_is_lost_must_be_given_again() -> None:
    run = ByHand(network_of(RESET)).fire("read", "h presses", "e off", "b presses", "h pulls")
    assert run.position("e") == "off"
    assert run.fire("b releases", "b presses").position("e") == "on"


def test_two_channels_that_differ_too_long_lock_the_circuit_off() -> None:
    run = ByHand(network_of(TWO)).fire("read", "h presses", "e off")
    assert run.pending() == {"e channels_differ": (500_000, 500_000)}
    run.fire("e locked_out", "h pulls")
    assert run.position("e") == "locked_out"


def test_only_the_loss_of_both_channels_ends_a_lock_out() -> None:
    run = ByHand(network_of(TWO)).fire("read", "h presses", "e off", "e locked_out", "g presses")
    assert run.position("e") == "off"
    assert run.fire("h pulls", "g pulls").position("e") == "on"


def test_channels_lost_within_the_discrepancy_time_do_not_lock_it_out() -> None:
    run = ByHand(network_of(TWO)).fire("read", "h presses", "e off", "g presses")
    assert run.pending() == {}
    assert run.fire("h pulls", "g pulls").position("e") == "on"


def test_one_channel_can_fail_so_that_it_does_not_drop() -> None:
    run = ByHand(network_of(ONE), budget=1).fire("e e does not drop", "read", "h presses")
    assert run.position("e") == "does_not_drop/on"
    assert run.pending() == {}


def test_a_weld_while_the_energy_drops_keeps_it_on() -> None:
    run = ByHand(network_of(ONE), budget=1).fire("read", "h presses", "e e does not drop")
    assert (run.position("e"), "e_on" in run.signals()) == ("does_not_drop/dropping", True)
    assert run.pending() == {}


def test_two_channels_tolerate_a_single_weld() -> None:
    names = [mode.name for mode in network_of(TWO).failures if mode.device == "e"]
    assert names == ["e.lost", "e.on_signal_stuck_on", "e.on_signal_stuck_off"]


def test_energy_can_be_lost_at_any_moment_and_does_not_return() -> None:
    run = ByHand(network_of(ONE), budget=1).fire("read", "e e energy is lost")
    assert (run.position("e"), run.pending()) == ("lost/on", {})
    assert "e_on" not in run.signals()


def test_a_cylinder_loses_its_drive_with_the_energy() -> None:
    text = """\
devices:
  h: {type: emergency_stop, healthy: ok}
  k: {type: cylinder, out: 100..200 ms, back: 80..90 ms, output: o, energy: e}
circuits: {e: {channels: [ok], drop: 10..15 ms}}
charts: {c: {a: {initial: true, do: [o]}}}
"""
    run = ByHand(network_of(text)).fire("read", "k out", "h presses")
    assert run.position("k") == "out"
    run.fire("e off")
    assert (run.position("k"), run.outputs()) == ("going_back", ("o",))
