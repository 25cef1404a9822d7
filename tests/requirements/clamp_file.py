"""A clamp behind a hood, to which a test adds one requirement."""

from __future__ import annotations

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text

CLAMP = """\
sequence: Trial
scan: {period: 4..10 ms, write: 0..4 ms}
devices:
  k: {type: cylinder, out: 100..200 ms, back: 50..80 ms, output: o, switches: {out: s}}
  h: {type: guard, closed: hc}
  b: {type: pushbutton, pressed: p}
alarms: {w: {text: late, clear: p}}
charts:
  c:
    idle: {initial: true, next: {on: p AND hc}}
    on: {do: [o], within: 300 ms, alarm: w, next: {idle: NOT hc, done: s}}
    done: {next: {idle: NOT p}}
"""


def sequence_with(requirement: str) -> Sequence:
    """The file with one requirement R."""
    return read_sequence_text(f"{CLAMP}requirements:\n  - {{id: R, {requirement}}}\n", "trial.yaml")


def outcome_of(requirement: str) -> RequirementOutcome:
    """What the check says of it."""
    (outcome,) = check_sequence(sequence_with(requirement)).requirements
    return outcome
