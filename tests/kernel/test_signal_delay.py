"""Signals that arrive late: the controller sees inputs out of order, wiring does not."""

from __future__ import annotations

from kernel.stepping import ByHand, network_of

TWO = """\
devices:
  b: {type: pushbutton, pressed: {name: p, delay: 2..5 ms}}
  r: {type: pushbutton, pressed: q}
charts: {c: {a: {initial: true, next: {d: q AND NOT p}}, d: {next: {e: p}}, e: {}}}
"""


def test_a_change_at_the_contact_is_seen_after_the_delay() -> None:
    run = ByHand(network_of(TWO)).fire("read", "b presses")
    assert run.signals() == ("p",)
    assert run.network.signals_in(run.state.seen) == ()
    assert run.pending() == {"p signal arrives": (2_000, 5_000)}
    run.fire("p is seen on")
    assert run.network.signals_in(run.state.seen) == ("p",)


def test_inputs_can_be_seen_out_of_order() -> None:
    """p was pressed before q, but the controller sees q first and takes the way that p forbids."""
    run = ByHand(network_of(TWO)).fire("read", "b presses", "r presses", "read")
    assert run.steps() == ("d",)
    assert run.fire("p is seen on", "read").steps() == ("e",)


def test_a_change_that_goes_back_within_the_delay_never_arrives() -> None:
    run = ByHand(network_of(TWO)).fire("read", "b presses", "b releases")
    assert run.pending() == {}


def test_the_delay_goes_on_while_other_things_happen() -> None:
    run = ByHand(network_of(TWO)).fire("read", "b presses", "r presses")
    assert run.goes_on() == {"p signal arrives"}


def test_a_circuit_is_wired_to_the_contact_and_knows_no_delay() -> None:
    text = """\
devices: {h: {type: emergency_stop, healthy: {name: ok, delay: 50..60 ms}}}
circuits: {e: {channels: [ok], drop: 10..15 ms}}
charts: {c: {a: {initial: true, next: {d: NOT ok}}, d: {}}}
"""
    run = ByHand(network_of(text)).fire("read", "h presses")
    assert run.position("e") == "dropping"
    assert run.pending() == {"ok signal arrives": (50_000, 60_000), "e drop": (10_000, 15_000)}
    run.fire("e off", "ok is seen off", "read")
    assert run.steps() == ("d",)


def test_a_stuck_contact_is_seen_late_too() -> None:
    run = ByHand(network_of(TWO), budget=1).fire("read", "p signal p is stuck on")
    assert run.signals() == ("p",)
    assert run.pending() == {"p signal arrives": (2_000, 5_000)}
