"""When the controller reads and writes."""

from __future__ import annotations

from kernel.stepping import SCAN, ByHand, network_of

BUTTON = "devices: {b: {type: pushbutton, pressed: p}}\n"
FOLLOWS = f"{BUTTON}charts: {{c: {{a: {{initial: true, next: {{d: p}}}}, d: {{next: {{a: NOT p}}}}}}}}\n"
DRIVES = """\
devices:
  b: {type: pushbutton, pressed: p}
  k: {type: cylinder, out: 100..200 ms, back: 100..200 ms, output: o}
charts: {c: {a: {initial: true, next: {d: p}}, d: {do: [o], next: {a: NOT p}}}}
"""
READS_OUTPUT = """\
devices:
  k: {type: cylinder, out: 100..200 ms, back: 100..200 ms, output: o}
charts: {c: {a: {initial: true, do: [o], next: {d: o}}, d: {}}}
"""


def test_the_first_read_comes_within_a_period_of_the_start() -> None:
    assert ByHand(network_of(FOLLOWS)).pending() == {"read": (4_000, 10_000)}


def test_after_a_read_that_changed_nothing_no_read_is_pending() -> None:
    assert ByHand(network_of(FOLLOWS)).fire("read").pending() == {}


def test_an_input_that_matters_makes_a_read_pending_on_demand_from_zero_to_the_longest_period() -> None:
    assert ByHand(network_of(FOLLOWS)).fire("read", "b presses").pending() == {"read": (0, 10_000)}


def test_an_input_that_changes_nothing_makes_no_read_pending() -> None:
    chart = f"{BUTTON}charts: {{c: {{a: {{initial: true, next: {{d: p}}}}, d: {{}}}}}}\n"
    run = ByHand(network_of(chart)).fire("read", "b presses", "read", "read", "b releases")
    assert run.steps() == ("d",)
    assert run.pending() == {}


def test_after_a_read_that_changed_something_one_more_comes_a_period_later_although_it_changes_nothing() -> None:
    run = ByHand(network_of(FOLLOWS)).fire("read", "b presses", "read")
    assert run.steps() == ("d",)
    assert run.pending() == {"read": (4_000, 10_000)}
    assert run.fire("read").pending() == {}


def test_no_input_shortens_the_read_after_a_change() -> None:
    run = ByHand(network_of(FOLLOWS)).fire("read", "b presses", "read", "b releases")
    assert run.pending() == {"read": (4_000, 10_000)}
    assert run.goes_on() == {"read"}


def test_a_pending_read_persists_when_what_it_would_do_changes() -> None:
    run = ByHand(network_of(FOLLOWS)).fire("read", "b presses", "b releases")
    assert run.goes_on() == {"read"}
    assert run.pending() == {"read": (0, 10_000)}


def test_an_input_shorter_than_a_scan_can_be_missed() -> None:
    run = ByHand(network_of(FOLLOWS)).fire("read", "b presses", "b releases", "read")
    assert run.steps() == ("a",)
    assert run.pending() == {}


def test_outputs_act_when_they_are_written_not_when_they_are_computed() -> None:
    run = ByHand(network_of(DRIVES, scan=SCAN)).fire("read", "b presses", "read")
    assert (run.outputs(), run.position("k")) == ((), "home")
    assert run.pending() == {"read": (4_000, 10_000), "write": (0, 3_000)}
    run.fire("write")
    assert (run.outputs(), run.position("k")) == (("o",), "going_out")


def test_a_read_waits_for_the_write_of_the_read_before_it() -> None:
    run = ByHand(network_of(DRIVES, scan=SCAN)).fire("read", "b presses", "read")
    assert "read" not in run.choices()
    run.fire("write")
    assert "read" in run.choices()
    assert run.goes_on() == {"read"}


def test_without_a_write_time_outputs_are_written_in_the_instant_of_the_read() -> None:
    run = ByHand(network_of(DRIVES)).fire("read", "b presses", "read")
    assert (run.outputs(), run.position("k")) == (("o",), "going_out")
    assert "write" not in run.pending()


def test_a_condition_on_an_output_sees_it_as_last_written() -> None:
    run = ByHand(network_of(READS_OUTPUT, scan=SCAN)).fire("read")
    assert run.steps() == ("a",)
    run.fire("write", "read")
    assert run.steps() == ("d",)


def test_the_last_write_belongs_to_the_read_before_it() -> None:
    run = ByHand(network_of(DRIVES, scan=SCAN)).fire("read", "b presses", "read", "b releases", "write", "read")
    assert (run.steps(), run.outputs()) == (("a",), ("o",))
    assert run.fire("write").outputs() == ()
