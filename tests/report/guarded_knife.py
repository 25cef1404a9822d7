"""A knife behind a locked hood with a safety circuit: small enough to check every cell of its tables by other means."""

from __future__ import annotations

from functools import cache

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text
from seqcheck.report.build_review import review_of
from seqcheck.report.review import Review
from seqcheck.report.review_options import ReviewOptions

MACHINE = """\
sequence: Guarded knife
revision: 3
scan: {period: 8..10 ms, write: 0 ms}
devices:
  knife:
    type: cylinder
    out: 120..200 ms
    back: 100..150 ms
    output: knife_fire
    energy: safety
    switches: {out: knife_through, home: knife_home}
    hazard: cut
  press: {type: cylinder, out: 90..140 ms, back: 100..150 ms, output: press_close, switches: {home: press_home}, hazard: crush}
  hood:
    type: guard
    closed: hood_closed
    locked: hood_locked
    unlock: hood_unlock
    without: {failures: lock_does_not_hold, because: form-locked}
  stop: {type: emergency_stop, healthy: estop_ok}
  start: {type: pushbutton, pressed: started}
  open_request: {type: pushbutton, pressed: open_requested}
circuits:
  safety: {channels: [hood_locked AND estop_ok], drop: 10..15 ms, signal: safety_ok, reset: started}
alarms:
  tripped: {text: Safety circuit is off, clear: safety_ok}
  late: {text: Knife is late, clear: started}
charts:
  cut:
    ready:
      initial: true
      prompt: Press start
      next:
        cutting: started AND safety_ok AND knife_home AND press_home
        open: open_requested AND knife_home AND press_home
    cutting: {do: [knife_fire], within: 300 ms, alarm: late, next: {pressing: knife_through}}
    pressing: {do: [press_close], within: 400 ms, alarm: late, next: {returning: pressing.T >= T#200ms}}
    returning: {within: 400 ms, alarm: late, next: {ready: knife_home AND press_home}}
    open: {do: [hood_unlock, tripped], prompt: Close the hood and press start, next: {ready: started AND hood_closed}}
    faulted:
      do: [tripped]
      prompt: Put it right and press start
      next: {ready: started AND safety_ok AND knife_home AND press_home}
    any step but faulted, open, ready: {next: {faulted: NOT safety_ok OR late}}
"""

REQUIREMENTS = """\
requirements:
  - {id: S1, text: Knife still behind the open hood, never: knife.is_moving AND hood.is_open, under: any one fault}
  - {id: S2, interlock: knife_fire, only while: safety_ok AND press_home, under: any one fault}
  - {id: S3, never: press.is_moving AND hood.is_open, under: any one fault}
  - {id: T1, when: stop.is_pressed, then: NOT safety.is_on, within: 20 ms}
  - {id: T2, when: stop.is_pressed, then: NOT knife.is_moving, within: 900 ms}
"""

FUNCTIONS = """\
safety_functions:
  hood_guarding:
    kind: guard locking
    device: hood
    stopping time: T2
    further time: 10 ms
    distance: 200 mm
    required: d
    input: {category: '3', B10d: 2e6, operations: 5000, DC: 90 %, CCF: 70}
  stopping:
    kind: emergency stop
    device: stop
    stop category: '0'
"""


def sequence_of(more: str = REQUIREMENTS) -> Sequence:
    """The machine with more sections."""
    return read_sequence_text(MACHINE + more, "guarded_knife.yaml")


def judged(*requirements: str) -> tuple[RequirementOutcome, ...]:
    """What the check says of requirements on the machine; those that can share an exploration do."""
    lines = "".join(f"  - {{id: X{number}, {text}}}\n" for number, text in enumerate(requirements))
    return check_sequence(sequence_of(f"requirements:\n{lines}"), CheckOptions(traps=False)).requirements


@cache
def outcome() -> Outcome:
    """The outcome of the machine with its requirements."""
    return check_sequence(sequence_of(REQUIREMENTS + FUNCTIONS))


@cache
def review() -> Review:
    """The review of the machine."""
    return review_of(outcome().sequence, outcome(), ReviewOptions(date="2030-01-31", version="test"))
