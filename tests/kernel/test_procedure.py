"""A recovery procedure: before it anything may happen, afterwards only what it says."""

from __future__ import annotations

from dataclasses import replace

from kernel.stepping import AT_ONCE, PLAIN, ByHand, network_of

from seqcheck.check.group import groups_of
from seqcheck.kernel.network import Network
from seqcheck.reader.read import read_sequence_text

CLAMP = """\
devices:
  k: {type: cylinder, out: 100..200 ms, back: 80..90 ms, output: o, switches: {out: s}}
  h: {type: guard, closed: hc}
  b: {type: pushbutton, pressed: p}
charts: {c: {a: {initial: true, do: [o], next: {d: s}}, d: {next: {a: p AND hc}}}}
"""
ACTS = "repair k within 1..2 min, h closes within 1..20 s, b presses within 1..5 s"


def _network(begins: str = "all", acts: str = ACTS) -> Network:
    requirement = f"requirements: [{{id: R, recovery: {begins}, acts: [{acts}], reaches: a, within: 1 min}}]\n"
    sequence = read_sequence_text(AT_ONCE + CLAMP + requirement, "trial.yaml")
    (group,) = groups_of(sequence, sequence.requirements, None)
    return network_of(CLAMP, replace(PLAIN, procedure=group.procedure))


BEGINS = "the operator begins to recover"


def test_before_it_begins_anybody_may_do_anything() -> None:
    assert {"h opens", "b presses", BEGINS} <= set(ByHand(_network()).choices())


def test_it_begins_only_in_the_stated_steps() -> None:
    run = ByHand(_network(begins="d")).fire("read")
    assert BEGINS not in run.choices()
    assert BEGINS in run.fire("k out", "read").choices()


def test_when_it_begins_the_stated_repairs_have_been_made() -> None:
    run = ByHand(_network(), budget=1).fire("read", "k jams where it is", BEGINS)
    assert run.position("k") == "resumed_going_out"


def test_a_failure_of_another_device_stays_where_repairs_are_stated() -> None:
    run = ByHand(_network(), budget=1).fire("read", "p signal p is stuck on", BEGINS)
    assert "p" in run.signals()


def test_without_a_stated_repair_everything_is_repaired() -> None:
    run = ByHand(_network(acts="h closes within 1..20 s"), budget=1).fire("read", "p signal p is stuck on", BEGINS)
    assert "p" not in run.signals()


def test_the_acts_follow_in_order_each_within_its_time() -> None:
    run = ByHand(_network()).fire("read", "h opens", "k out", "read", "read", "k home", BEGINS)
    assert run.pending() == {"the operator closes h": (1_000_000, 20_000_000)}
    run.fire("the operator step_1")
    assert (run.position("h"), run.pending()) == ("closed", {"the operator presses b": (1_000_000, 5_000_000)})
    assert run.fire("the operator step_2", "read").steps() == ("a",)


def test_once_begun_nobody_acts_otherwise_and_nothing_fails() -> None:
    run = ByHand(_network(), budget=1).fire("read", BEGINS)
    assert set(run.choices()) == {"read", "k out", "the operator step_1"}


def test_an_act_that_is_already_so_changes_nothing() -> None:
    run = ByHand(_network()).fire("read", BEGINS, "the operator step_1")
    assert run.position("h") == "closed"
