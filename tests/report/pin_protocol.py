"""A pin on a safety circuit, small enough to say by hand what its acceptance test must hold."""

from __future__ import annotations

from functools import cache

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome
from seqcheck.reader.read import read_sequence_text
from seqcheck.report.build_protocol import protocol_of
from seqcheck.report.protocol import MachineCheck, Protocol, SetUp
from seqcheck.report.review_options import ReviewOptions

HOSTILE = "</title><script>alert(1)</script> <img src=x onerror=alert(2)> {{ 7*7 }} | `a` *b* [c](http://d.invalid) & 'q'"

PIN = """\
sequence: Pin
revision: 1
scan: {period: 10 ms, write: 0 ms}
devices:
  pin:
    type: cylinder
    out: 100..200 ms
    back: 100..150 ms
    output: pin_out
    switches: {out: pin_is_out, home: pin_is_home}
    hazard: crush
    without: {failures: [slow, valve_sticks], because: sized}
  stop: {type: emergency_stop, healthy: estop_ok}
  start: {type: pushbutton, pressed: started}
circuits:
  air: {channels: [estop_ok], drop: 10..15 ms, signal: air_ok, reset: started}
alarms:
  late: {text: Pin is late, clear: started}
charts:
  push:
    ready: {initial: true, prompt: Press start, next: {out: started AND air_ok AND pin_is_home}}
    out: {do: [pin_out], within: 300 ms, alarm: late, next: {ready: pin_is_out OR late}}
requirements:
  - {id: S1, text: Pin only with air, interlock: pin_out, only while: air_ok, under: any one fault}
  - {id: T1, text: Air goes, when: stop.is_pressed, then: NOT air.is_on, within: 20 ms}
  - {id: V1, text: Pin never moves, never: pin.is_moving}
"""


def hostile_text() -> str:
    """The pin with markup in every text that a file may choose freely."""
    quoted = "'" + HOSTILE.replace("'", "''") + "'"
    texts = ("sequence: Pin", "text: Pin only with air", "text: Pin is late", "because: sized", "prompt: Press start")
    made = PIN
    for text in texts:
        made = made.replace(text, f"{text.split(':')[0]}: {quoted}")
    return made


@cache
def outcome(text: str = PIN) -> Outcome:
    """What the check says of it."""
    return check_sequence(read_sequence_text(text, "pin.yaml"), CheckOptions(traps=False))


@cache
def protocol(text: str = PIN) -> Protocol:
    """Its acceptance test."""
    return protocol_of(outcome(text), ReviewOptions(date="2030-01-31", version="test"))


def set_up_of(key: str) -> tuple[SetUp, MachineCheck]:
    """The check called `key`, or the first of several, and its set-up."""
    return next((one, check) for one in protocol().set_ups for check in one.checks if check.key.split(" ")[0] == key)
