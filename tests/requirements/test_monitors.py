"""What each kind of requirement watches, written out for one example of each."""

from __future__ import annotations

import pytest
from requirements.clamp_file import sequence_with

from seqcheck.check.group import monitors_of
from seqcheck.kernel.observer import (
    Enters,
    Fails,
    Holds,
    Moment,
    Monitor,
    PrecedenceMonitor,
    ReadMonitor,
    StateMonitor,
    StopwatchMonitor,
)
from seqcheck.language.expression import to_text


def _moments(moments: tuple[Moment, ...]) -> str:
    words = []
    for moment in moments:
        match moment:
            case Holds(condition=condition):
                words.append(f"holds {to_text(condition)}")
            case Enters(chart=chart, step=step):
                words.append(f"enters {chart}.{step}")
            case Fails(failure=failure):
                words.append(f"fails {failure}")
    return " | ".join(words)


def _told(monitor: Monitor) -> str:
    match monitor:
        case ReadMonitor():
            return f"read turns {monitor.output} on: needs {to_text(monitor.needs)}"
        case StateMonitor():
            return f"never {to_text(monitor.bad)}; seen {', '.join(map(to_text, monitor.parts))}"
        case StopwatchMonitor():
            limits = f"{monitor.at_least_us}..{monitor.at_most_us} us, counted to {monitor.length_us} us"
            cancel = f"; unless {_moments(monitor.cancel)}" if monitor.cancel else ""
            return f"from {_moments(monitor.start)} to {_moments(monitor.end)}{cancel}: {limits}"
        case PrecedenceMonitor():
            parts = (_moments(part) for part in (monitor.second, monitor.first, monitor.since))
            return "no {} before {} since {}".format(*parts)
        case _:
            return str(monitor)


EXAMPLES = {
    "interlock: o, only while: hc AND s, drop within: 60 ms": [
        "read turns o on: needs hc AND s",
        "from holds o AND NOT (hc AND s) to holds NOT o; unless holds hc AND s: 0..60000 us, counted to 60001 us",
    ],
    "interlock: o, only while: hc": ["read turns o on: needs hc"],
    "never: o AND h.is_open": ["never o AND h.is_open; seen o, h.is_open"],
    "always: NOT o OR hc": ["never NOT (NOT o OR hc); seen NOT NOT o"],
    "when: NOT hc, then: NOT o, within: 20 ms, until: hc": [
        "from holds NOT hc AND NOT NOT o to holds NOT o; unless holds hc: 0..20000 us, counted to 20001 us"
    ],
    "no: c.done.X, before: k.is_out": ["no enters c.done before holds k.is_out since enters c.idle"],
    "no: c.done.X, before: s, since: c.on.X": ["no enters c.done before holds s since enters c.on"],
    "between: c.on.X, and: c.done.X OR c.idle.X, at most: 1 s, at least: 5 ms, unless: w, given: anything": [
        "from enters c.on to enters c.done | enters c.idle; unless holds w: 5000..1000000 us, counted to 1000001 us"
    ],
    "between: o, and: s, at least: 5 ms, given: anything": ["from holds o to holds s: 5000..None us, counted to 5001 us"],
    "from: on, reaches: [done, idle], within: 1 s, given: anything": [
        "from enters c.on to enters c.done | enters c.idle: 0..1000000 us, counted to 1000001 us"
    ],
    "recovery: done, acts: [b releases within 1..2 s], reaches: [idle, on], within: 3 s": [
        (
            "from holds the operator.has_begun to holds the operator.is_done AND (c.idle.X OR c.on.X): "
            "0..3000000 us, counted to 3000001 us"
        )
    ],
    "detects: [k.jams, h.closed_signal_stuck_on], within: 1 s": [
        "from fails k.jams to holds w: 0..1000000 us, counted to 1000001 us",
        "from fails h.closed_signal_stuck_on to holds w: 0..1000000 us, counted to 1000001 us",
    ],
}


@pytest.mark.parametrize("requirement", EXAMPLES)
def test_a_requirement_watches(requirement: str) -> None:
    sequence = sequence_with(requirement)
    assert [_told(monitor) for monitor in monitors_of(sequence.requirements[0], sequence)] == EXAMPLES[requirement]


def test_an_interlock_on_the_machine_watches_the_motion_that_the_output_drives() -> None:
    sequence = sequence_with("interlock: o, only while: h.is_closed, drop within: 60 ms")
    drop = _told(monitors_of(sequence.requirements[0], sequence)[1])
    assert drop == (
        "from holds (o OR k.is_moving) AND NOT h.is_closed to holds NOT (o OR k.is_moving); "
        "unless holds h.is_closed: 0..60000 us, counted to 60001 us"
    )
