"""Exact shortest witnesses of five defects: what happens, and when, in the fewest failures, acts and events.

Recorded from a check, then compared by hand with the ranges in tests/defects/sound_splice.yaml: reads 8 ms apart, unwind
up to speed in 1.0 s and down in 0.9 s, accumulator filled after 0.9 x 7.92 m / 0.6 m/s = 11.88 s, line up in 3.0 s.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.quantities.time import format_time
from seqcheck.reader.read import read_sequence

DEFECTS = Path(__file__).parent.parent / "defects"

Line = tuple[str, str]

STARTED: tuple[Line, ...] = (
    ("8 ms", "controller reads: splice enters armed"),
    ("16 ms", "reset presses"),
    ("16 ms", "controller reads: splice enters restoring"),
)

CLAMPING: tuple[Line, ...] = (
    *STARTED,
    ("1.016 s", "unwind is now at speed"),
    ("1.016 s", "accumulator is now full"),
    ("1.016 s", "controller reads: splice enters ready"),
    ("4.016 s", "line is now at speed"),
    ("4.016 s", "request presses"),
    ("4.016 s", "controller reads: splice enters stopping"),
    ("4.016 s", "accumulator is now drawn above"),
    ("4.916 s", "unwind is now stopped"),
    ("5.166 s", "time runs out: splice.stopping.T reaches its limit"),
    ("5.166 s", "controller reads: splice enters clamping"),
)

WITNESSES: dict[tuple[str, str], tuple[Line, ...]] = {
    ("one_emergency_stop_contact", "S10"): (
        *STARTED,
        ("24 ms", "FAILURE stop.estop_ok_signal_stuck_on; stop presses"),
        ("40.001 ms", "the limit of S10 has passed"),
    ),
    ("clamp_switch_trusted", "S4"): (
        *CLAMPING,
        ("5.174 s", "FAILURE: signal clamp_closed is stuck on"),
        ("5.174 s", "controller reads: splice enters cutting"),
    ),
    ("abort_after_advance", "S3"): (
        *CLAMPING,
        ("5.286 s", "clamp is now out"),
        ("5.426 s", "time runs out: splice.clamping.T reaches its limit"),
        ("5.426 s", "stop presses"),
        ("5.426 s", "safety is now off"),
        ("5.426 s", "controller reads: splice enters cutting"),
    ),
    ("reset_by_level", "S11"): (
        ("8 ms", "controller reads: splice enters armed"),
        ("8 ms", "reset presses"),
        ("16 ms", "controller reads: splice enters restoring"),
        ("16 ms", "stop presses"),
        ("16 ms", "safety is now off"),
        ("24 ms", "controller reads: splice enters standing"),
        ("34 ms", "unwind is now stopped"),
        ("1.224 s", "time runs out: splice.standing.T reaches its limit"),
        ("1.224 s", "controller reads: splice enters down"),
        ("1.232 s", "controller reads: splice enters armed"),
        ("1.232 s", "stop pulls"),
        ("1.24 s", "controller reads: splice enters restoring"),
    ),
    ("line_kept_running", "P1"): (
        *STARTED,
        # Not the run in which the unwind's start is broken off: what that one draws is only a bound.
        ("1.016 s", "unwind is now at speed"),
        ("1.016 s", "accumulator is now full"),
        ("1.016 s", "controller reads: splice enters ready"),
        ("4.016 s", "line is now at speed"),
        ("4.016 s", "FAILURE: signal unwind_at_speed is stuck off"),
        ("4.016 s", "controller reads: splice enters standing"),
        ("4.016 s", "accumulator is now drawn above"),
        ("4.916 s", "unwind is now stopped"),
        ("5.216 s", "time runs out: splice.standing.T reaches its limit"),
        ("14.056001 s", "the limit of P1 has passed"),
    ),
}


@pytest.mark.parametrize(("defect", "requirement"), WITNESSES, ids=lambda part: str(part))
def test_the_shortest_witness_is_this_one(defect: str, requirement: str) -> None:
    sequence = read_sequence(DEFECTS / f"{defect}.yaml")
    [outcome] = check_sequence(sequence, CheckOptions(only=(requirement,))).requirements
    assert outcome.witness is not None
    assert outcome.witness.confirmed, outcome.witness.reason
    told = tuple((format_time(line.time_us), line.what) for line in outcome.witness.lines)
    assert told == WITNESSES[defect, requirement]
