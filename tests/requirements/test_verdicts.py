"""Every kind of requirement holds, is violated (by a confirmed run), or is vacuous, on one small sequence."""

from __future__ import annotations

import pytest
from requirements.clamp_file import CLAMP, outcome_of

from seqcheck.check.check import check_sequence
from seqcheck.reader.read import read_sequence_text

HOLDS = [
    # hc is lost just after a read: the next read at most 10 ms later turns o off, written at most 4 ms after it.
    "interlock: o, only while: hc, drop within: 14 ms",
    "interlock: o, only while: h.is_closed, given: h stays closed",
    "never: c.idle.X AND c.done.X OR w AND o",
    "always: NOT c.on.X OR NOT c.idle.X",
    "when: NOT hc, then: NOT o, within: 14 ms, until: hc",
    "no: c.done.X, before: k.is_out",
    # o is written at most 4 ms after the read that enters `on`; out takes up to 200 ms; the next read at most 10 ms.
    "between: c.on.X, and: c.done.X, at most: 214 ms, given: h stays closed",
    "from: on, reaches: [done], within: 214 ms, given: h stays closed",
    # b is released at most 2 s after the beginning; the next read at most 10 ms later.
    "recovery: done, acts: [b releases within 1..2 s], reaches: [idle], within: 2010 ms",
]
VIOLATED = [
    ("interlock: o, only while: hc, drop within: 13 ms", "its time runs out"),
    ("interlock: o, only while: s", "a read turns o on while this does not hold: s"),
    ("never: c.done.X AND k.is_home", "this holds: c.done.X AND k.is_home"),
    ("always: NOT c.done.X OR s", "this holds: NOT (NOT c.done.X OR s)"),
    ("when: NOT hc, then: NOT o, within: 13 ms, until: hc", "its time runs out"),
    ("no: c.done.X, before: w", "the second comes before the first"),
    ("between: c.on.X, and: c.done.X, at most: 213 ms, given: h stays closed", "its time runs out"),
    ("between: o, and: k.is_out, at least: 101 ms, given: h stays closed", "it ends too soon"),
    ("from: on, reaches: [done], within: 213 ms, given: h stays closed", "its time runs out"),
    ("recovery: done, acts: [b releases within 1..2 s], reaches: [idle], within: 2009 ms", "its time runs out"),
]
VACUOUS = [
    ("interlock: o, only while: hc, given: no operator act", "the output is never turned on in a run without failures"),
    ("never: c.done.X AND w", "never true in a run without failures: w"),
    ("always: NOT c.done.X OR s, given: no operator act", "never true in a run without failures: NOT NOT c.done.X"),
]
NEVER_BEGINS = [
    "when: w, then: NOT o, within: 14 ms",
    "no: w, before: c.done.X",
    "between: c.on.X, and: c.done.X, at most: 1 s, given: no operator act",
    "from: on, reaches: [done], within: 214 ms, given: no operator act",
    "recovery: done, acts: [b releases within 1..2 s], reaches: [idle], within: 3 s, given: no operator act",
    "detects: h.closed_signal_stuck_on, within: 1 s, under: any one fault, given: h stays closed",
]


@pytest.mark.parametrize("requirement", HOLDS)
def test_it_holds(requirement: str) -> None:
    outcome = outcome_of(requirement)
    assert (outcome.verdict.value, outcome.reason, outcome.witness) == ("holds", "", None)


@pytest.mark.parametrize(("requirement", "reason"), VIOLATED)
def test_it_is_violated_by_a_run_that_the_simulator_confirms(requirement: str, reason: str) -> None:
    outcome = outcome_of(requirement)
    assert (outcome.verdict.value, outcome.reason) == ("violated", reason)
    assert outcome.witness is not None
    assert outcome.witness.confirmed


@pytest.mark.parametrize(("requirement", "reason"), VACUOUS)
def test_it_is_vacuous_because_it_was_never_put_to_the_test(requirement: str, reason: str) -> None:
    outcome = outcome_of(requirement)
    assert (outcome.verdict.value, outcome.reason) == ("vacuous", reason)


@pytest.mark.parametrize("requirement", NEVER_BEGINS)
def test_it_is_vacuous_because_what_it_speaks_of_never_begins(requirement: str) -> None:
    outcome = outcome_of(requirement)
    assert outcome.verdict.value == "vacuous"
    assert outcome.reason == "what it speaks of never begins in any run that its hypothesis and `given` allow"


def test_the_worst_drop_is_one_period_and_one_write() -> None:
    (measure,) = outcome_of("interlock: o, only while: hc, drop within: 100 ms").measures
    assert (measure.worst, measure.best, measure.is_exact) == (14_000, 0, True)


def test_the_worst_drop_of_an_input_with_a_delay_is_longer_by_the_delay() -> None:
    """The filter passes the loss at most 5 ms later; then as without it."""
    text = CLAMP.replace("closed: hc", "closed: {name: hc, delay: 2..5 ms}")
    requirement = "requirements:\n  - {id: R, when: h.is_open, then: NOT o, within: 100 ms, until: h.is_closed}\n"
    (outcome,) = check_sequence(read_sequence_text(text + requirement, "trial.yaml")).requirements
    assert outcome.measures[0].worst == 19_000


def test_an_interlock_on_signals_ends_at_the_output_and_one_on_the_machine_at_standstill() -> None:
    """14 ms to the output off, then at most 80 ms until the cylinder is back: a bound, for it may have been on its way out."""
    signals = outcome_of("interlock: o, only while: hc, drop within: 500 ms")
    machine = outcome_of("interlock: o, only while: h.is_closed, drop within: 500 ms")
    assert (signals.judged_on, signals.measures[0].worst) == ("signals", 14_000)
    assert (machine.judged_on, machine.measures[0].worst, machine.measures[0].is_exact) == ("machine", 94_000, False)


def test_a_permissive_that_was_never_false_with_the_output_off_is_untested() -> None:
    assert outcome_of("interlock: o, only while: hc AND NOT w").untested == ("NOT w",)
    assert outcome_of("interlock: o, only while: hc").untested == ()


def test_a_failure_that_never_makes_a_difference_is_latent() -> None:
    under = "within: 1 s, under: any one fault"
    still = outcome_of(f"detects: [h.closed_signal_stuck_on, k.out_signal_stuck_off], {under}, given: h stays closed")
    assert still.latent == ("h.closed_signal_stuck_on",)
    assert outcome_of(f"detects: h.closed_signal_stuck_on, {under}").latent == ()


DETECTOR = """\
sequence: Trial
scan: {period: 4..10 ms, write: 0..4 ms}
devices:
  f: {type: free, states: {fine: {initial: true, signals: ok, next: {bad: {failure: breaks}}}, bad: {}}}
alarms: {w: {text: broken, clear: ok}}
charts: {c: {a: {initial: true, next: {d: NOT ok}}, d: {do: [w]}}}
requirements: [{id: R, detects: f.breaks, within: LIMIT, under: any one fault}]
"""


@pytest.mark.parametrize(("limit", "verdict"), [("10 ms", "holds"), ("9 ms", "violated")])
def test_a_failure_is_detected_by_the_read_after_it(limit: str, verdict: str) -> None:
    """It breaks just after a read; the next, at most 10 ms later, raises the alarm."""
    sequence = read_sequence_text(DETECTOR.replace("LIMIT", limit), "trial.yaml")
    (outcome,) = check_sequence(sequence).requirements
    assert outcome.verdict.value == verdict
