"""Air that is shut off and comes back: nothing may start by itself (ISO 14118). The kind of valve decides."""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

MACHINE = """\
sequence: air comes back
scan: {{period: 10..20 ms, write: 0..5 ms}}
devices:
  # Somebody shuts it off, and opens it again no sooner than 300 ms later.
  isolator:
    type: free
    states:
      open: {{initial: true, facts: is_on, next: {{shut: {{act: turns_off}}}}}}
      shut: {{next: {{open: {{after: 300..900 ms}}}}}}
  air: {{type: supply, while: isolator.is_on, fall: 50..100 ms, rise: 100..200 ms, signal: air_ok}}
  power: {{type: supply, fall: 10..20 ms, rise: 10..20 ms}}
  press: {{type: cylinder, {press}, air: air, energy: power, out: 400..600 ms, back: 400..600 ms,
    output: press_down, switches: {{out: pressed, home: up}}}}
  start: {{type: pushbutton, pressed: p}}
charts:
  x:
    ready: {{initial: true, do: {rest}, next: {{down: RISING(p) AND air_ok}}}}
    down: {{do: [press_down], next: {{off: NOT air_ok, back: pressed}}}}
    back: {{do: {back}, next: {{off: NOT air_ok, ready: up}}}}
    off: {{do: {rest}, next: {{ready: RISING(p) AND up AND air_ok}}}}
requirements:
  - {{id: R, no: press.is_moving, before: p, since: air.is_off, {more}}}
"""
SPRING = "without air: drops home"
DOUBLE = "opposite: press_up, without air: holds"
CENTRE = "opposite: press_up, valve: closed centre, without air: holds"


def _verdict(
    press: str, rest: str = "[]", back: str = "[press_up]", more: str = "given: anything"
) -> Verdict:
    text = MACHINE.format(press=press, rest=rest, back=back, more=more)
    (found,) = check_sequence(read_sequence_text(text, "air.yaml"), CheckOptions(traps=False)).requirements
    return found.verdict


def test_a_double_solenoid_goes_on_when_air_returns_although_neither_coil_is_on() -> None:
    assert _verdict(DOUBLE) is Verdict.VIOLATED


def test_in_a_closed_centre_it_stands_until_it_is_told() -> None:
    assert _verdict(CENTRE) is Verdict.HOLDS


@pytest.mark.parametrize(("press", "verdict"), [(SPRING, Verdict.HOLDS), (DOUBLE, Verdict.VIOLATED)])
def test_only_a_spring_brings_it_home_without_air(press: str, verdict: Verdict) -> None:
    asked = "when: air.is_off, then: press.is_home, within: 601 ms, until: air.is_on"
    text = MACHINE.format(
        press=press, rest="[]", back="[]" if press == SPRING else "[press_up]", more="given: anything"
    )
    text = text.replace("no: press.is_moving, before: p, since: air.is_off", asked)
    (found,) = check_sequence(read_sequence_text(text, "air.yaml"), CheckOptions(traps=False)).requirements
    assert found.verdict is verdict


def test_without_control_power_a_double_solenoid_ends_its_motion_and_begins_none() -> None:
    more = "given: no operator act but start, under: fault power.lost"
    text = MACHINE.format(press=DOUBLE, rest="[]", back="[press_up]", more=more)
    asked = "when: power.is_off, then: NOT press.is_moving, within: 601 ms"
    text = text.replace("no: press.is_moving, before: p, since: air.is_off", asked)
    (found,) = check_sequence(read_sequence_text(text, "air.yaml"), CheckOptions(traps=False)).requirements
    assert (found.verdict, found.measures[0].worst > 500_000) == (Verdict.HOLDS, True)
