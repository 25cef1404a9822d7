"""Failures: when they happen, what they change, and how they go away."""

from __future__ import annotations

from kernel.stepping import PLAIN, ByHand, network_of

from seqcheck.kernel.network import NetworkOptions

CLAMP = """\
devices:
  k: {type: cylinder, out: 100..200 ms, back: 80..90 ms, output: o, switches: {out: s}}
  b: {type: pushbutton, pressed: p}
charts: {c: {a: {initial: true, do: [o], next: {d: s}}, d: {next: {a: p}}}}
"""
LATE = NetworkOptions(at_read=False, choose=False)
AT_READ = NetworkOptions(late=False, choose=False)
LOOSE = CLAMP.replace("switches: {out: s}}", "switches: {out: s}, intermittent: [out_signal_stuck_off]}")
SLUGGISH = """\
devices:
  k:
    type: free
    states:
      going: {initial: true, next: {there: {after: 100..110 ms}, stuck: {failure: jams}}}
      stuck: {}
      there: {}
charts: {c: {a: {initial: true}}}
"""


def test_no_failure_happens_without_a_budget() -> None:
    assert set(ByHand(network_of(CLAMP)).fire("read").choices()) == {"read", "b presses", "k out"}


def test_a_failure_takes_one_from_the_budget() -> None:
    network = network_of(CLAMP)
    run = ByHand(network, budget=1).fire("read", "s signal s is stuck on")
    run.budget = 0
    assert set(run.choices()) == {"read", "b presses", "k out"}


def test_a_jam_freezes_a_motion_and_its_switches() -> None:
    run = ByHand(network_of(CLAMP), budget=1).fire("read", "k jams where it is")
    assert run.position("k") == "jammed/going_out"
    assert (run.signals(), run.pending()) == ((), {"read": (4_000, 10_000)})


def test_a_slow_failure_restarts_the_motion_up_to_the_slow_latest_time() -> None:
    slow = CLAMP.replace("output: o", "slow: 2 s, output: o")
    run = ByHand(network_of(slow), budget=1).fire("read", "k moves slowly")
    assert run.pending() == {"read": (4_000, 10_000), "k reach_out": (0, 2_000_000)}


def test_a_contact_can_fail_in_either_sense_at_any_moment() -> None:
    choices = set(ByHand(network_of(CLAMP), budget=1).fire("read").choices())
    assert {"s signal s is stuck on", "s signal s is stuck off"} <= choices


def test_a_stuck_contact_hides_what_the_body_does() -> None:
    run = ByHand(network_of(CLAMP), budget=1).fire("read", "s signal s is stuck off", "k out")
    assert (run.position("k"), run.signals()) == ("out", ())


def test_late_a_contact_that_shows_nothing_yet_fails_with_the_move_that_it_hides() -> None:
    choices = set(ByHand(network_of(CLAMP, LATE), budget=1).fire("read").choices())
    assert "s signal s is stuck off" not in choices
    assert "k out [k.out_signal_stuck_off]" in choices
    run = ByHand(network_of(CLAMP, LATE), budget=1).fire("read", "k out [k.out_signal_stuck_off]")
    assert (run.position("k"), run.signals()) == ("out", ())


def test_late_a_contact_that_shows_at_once_still_fails_at_any_moment() -> None:
    assert "s signal s is stuck on" in ByHand(network_of(CLAMP, LATE), budget=1).fire("read").choices()


def test_late_a_quiet_failure_of_a_body_waits_for_the_move_that_goes_otherwise() -> None:
    run = ByHand(network_of(SLUGGISH, LATE), budget=1)
    assert set(run.choices()) == {"read", "k there", "k jams:stuck [k.jams]"}


def test_an_intermittent_failure_is_never_put_off() -> None:
    """A jam that comes and goes restarts the motion early: it must be able to happen at any moment, also when late is on."""
    loose = SLUGGISH.replace("charts:", "    intermittent: [jams]\ncharts:")
    assert "k jams" in ByHand(network_of(loose, LATE), budget=1).choices()


def test_at_the_read_a_contact_fails_only_where_the_read_goes_otherwise() -> None:
    """s matters in step a, where the read sees it off: stuck on makes a difference, stuck off does not."""
    choices = set(ByHand(network_of(CLAMP, AT_READ), budget=1).fire("read").choices())
    assert "read [k.out_signal_stuck_on]" in choices
    assert not {"s signal s is stuck on", "s signal s is stuck off", "read [k.out_signal_stuck_off]"} & choices


def test_a_contact_that_fails_at_the_read_stays_failed() -> None:
    run = ByHand(network_of(CLAMP, AT_READ), budget=1).fire("read", "read [k.out_signal_stuck_on]")
    assert (run.steps(), run.signals()) == (("d",), ("s",))
    run.budget = 0
    assert run.fire("b presses", "read", "read").steps() == ("d",)


def test_permanent_failures_do_not_go_away_by_themselves() -> None:
    run = ByHand(network_of(CLAMP), budget=1).fire("read", "s signal s is stuck on")
    assert "k recovers" not in run.choices()


def test_an_intermittent_failure_recovers_at_any_moment() -> None:
    run = ByHand(network_of(LOOSE), budget=1).fire("read", "k out", "s signal s is stuck off", "k recovers")
    assert run.signals() == ("s",)


def test_an_intermittent_failure_that_has_happened_returns_without_budget() -> None:
    network = network_of(LOOSE)
    loose = network.failure_named("k.out_signal_stuck_off")
    assert loose is not None
    run = ByHand(network, again=frozenset({loose.index})).fire("read", "k out")
    assert {part for part in run.choices() if "stuck" in part or "jams" in part} == {"s signal s is stuck off"}


def test_nothing_is_repaired_unless_asked_for() -> None:
    run = ByHand(network_of(CLAMP), budget=1).fire("read", "k jams where it is")
    assert "k is repaired" not in run.choices()


def test_a_repaired_motion_resumes_and_takes_up_to_its_latest_time() -> None:
    options = NetworkOptions(late=False, at_read=False, choose=False, repairs=True)
    run = ByHand(network_of(CLAMP, options), budget=1).fire("read", "k jams where it is", "k is repaired")
    assert run.position("k") == "resumed_going_out"
    assert run.pending() == {"read": (4_000, 10_000), "k reach_out": (0, 200_000)}


def test_a_repaired_contact_follows_its_body_again() -> None:
    options = NetworkOptions(late=False, at_read=False, choose=False, repairs=True)
    run = ByHand(network_of(CLAMP, options), budget=1).fire("read", "s signal s is stuck on", "k is repaired")
    assert run.signals() == ()


def test_a_controller_that_fails_puts_any_output_in_any_state_and_never_reads() -> None:
    options = NetworkOptions(late=False, at_read=False, choose=False, controller_fault=True)
    run = ByHand(network_of(CLAMP, options))
    assert (set(run.choices()), run.pending()) == ({"controller turns o on", "b presses"}, {})
    run.fire("controller turns o on")
    assert (run.outputs(), run.position("k")) == (("o",), "going_out")
    run.fire("controller turns o off")
    assert (run.outputs(), run.steps()) == ((), ("a",))


def test_a_failure_that_the_file_excludes_does_not_exist() -> None:
    text = CLAMP.replace("switches: {out: s}}", "switches: {out: s}, without: {failures: [jams, slow], because: guided}}")
    names = {mode.name for mode in network_of(text, PLAIN).failures if mode.device == "k"}
    assert names == {"k.valve_sticks", "k.out_signal_stuck_on", "k.out_signal_stuck_off"}
