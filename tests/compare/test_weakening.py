"""Whether a requirement asks less: each way in which it can, and its reverse, which must not be called weaker."""

import pytest

from seqcheck.compare.requirement_facts import RequirementFacts, facts_of
from seqcheck.compare.weakening import undecided_changes, weakenings
from seqcheck.reader.read import read_sequence_text

FRAME = """
sequence: frame
scan: {period: 4..10 ms, write: 0..4 ms}
devices:
  press: {type: cylinder, out: 120..250 ms, back: 100..220 ms, output: close, switches: {out: a, home: b}}
  hood: {type: guard, closed: c}
  request: {type: pushbutton, pressed: d}
alarms:
  late: {text: late, clear: d}
  other: {text: other, clear: d}
charts:
  work:
    one: {initial: true, next: {two: d}}
    two: {do: [close], within: 400 ms, alarm: late, next: {three: a}}
    three: {next: {one: b}}
requirements:
  - {id: R, REST}
"""


def asked(rest: str) -> RequirementFacts:
    sequence = read_sequence_text(FRAME.replace("REST", rest), "frame.yaml")
    return facts_of(sequence.requirements[0])


PAIRS = [
    ("interlock: close, only while: a AND c", "interlock: close, only while: a"),
    ("interlock: close, only while: a", "interlock: close, only while: a OR c"),
    ("interlock: close, only while: a, drop within: 40 ms", "interlock: close, only while: a, drop within: 41 ms"),
    ("interlock: close, only while: a, drop within: 40 ms", "interlock: close, only while: a"),
    ("never: a", "never: a AND b"),
    ("never: a OR b", "never: a"),
    ("always: a AND b", "always: a"),
    ("when: a, then: b, within: 1 s", "when: a AND c, then: b, within: 1 s"),
    ("when: a, then: b, within: 1 s", "when: a, then: b OR c, within: 1 s"),
    ("when: a, then: b, within: 1 s", "when: a, then: b, within: 2 s"),
    ("between: a, and: b, at most: 1 s, given: anything", "between: a, and: b, at most: 1 s, unless: c, given: anything"),
    ("between: a, and: b, at least: 1 s, given: anything", "between: a, and: b, at least: 900 ms, given: anything"),
    ("from: two, reaches: [three], within: 1 s, given: anything", "from: two, reaches: [three, one], within: 1 s, given: anything"),
    ("from: two, reaches: [three], within: 1 s, given: anything",
     "from: two, reaches: [three], within: 1 s, given: no operator act but request"),
    ("from: two, reaches: [three], within: 1 s, given: no operator act but request",
     "from: two, reaches: [three], within: 1 s, given: no operator act"),
    ("from: two, reaches: [three], within: 1 s, given: anything",
     "from: two, reaches: [three], within: 1 s, given: hood stays closed"),
    ("never: a, under: any two faults", "never: a, under: any one fault"),
    ("never: a, under: any one fault", "never: a, under: no fault"),
    ("never: a, under: any one fault", "never: a, under: fault press.jams"),
    ("never: a, under: controller fault", "never: a"),
    ("never: a, start: anywhere", "never: a"),
    ("never: a", "never: a, severity: quality"),
]  # fmt: skip


@pytest.mark.parametrize(("stronger", "weaker"), PAIRS)
def test_asking_less_is_weaker_and_asking_more_is_not(stronger: str, weaker: str) -> None:
    assert len(weakenings(asked(stronger), asked(weaker))) == 1
    assert weakenings(asked(weaker), asked(stronger)) == ()
    assert weakenings(asked(stronger), asked(stronger)) == ()


def test_the_same_condition_in_other_words_is_no_change() -> None:
    old, new = asked("never: NOT (a OR b)"), asked("never: NOT b AND NOT a")
    assert weakenings(old, new) == undecided_changes(old, new) == ()


def test_a_condition_that_neither_implies_is_told_as_open() -> None:
    old, new = asked("never: a"), asked("never: b")
    assert weakenings(old, new) == ()
    assert undecided_changes(old, new) == ("'never': a -> b, neither implies the other",)


def test_another_kind_is_weaker() -> None:
    assert weakenings(asked("never: a"), asked("always: NOT a")) == (
        "it was of the kind 'never' and is of the kind 'always' now",
    )
