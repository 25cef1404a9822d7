"""Stored energy as a hazard of its own: a carriage that hangs on air alone, and one that a stop pin holds."""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.errors import SequenceFileError
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

MACHINE = """\
sequence: carriage behind a hood
scan: {{period: 10..20 ms, write: 0..5 ms}}
devices:
  air: {{type: supply, fall: 200..400 ms, rise: 300..500 ms, signal: air_ok}}
  power: {{type: supply, fall: 10..20 ms, rise: 10..20 ms}}
  pin: {{type: cylinder, out: 100..200 ms, back: 100..200 ms, output: pin_release, energy: power, switches: {{home: pin_in}}}}
  carriage: {{type: load, held by: {held}, drop: 0.5..1 s, hazard: crush}}
  request: {{type: pushbutton, pressed: open_requested}}
  hood: {{type: guard, closed: hood_closed, locked: hood_locked, unlock: hood_unlock, engage: 20..80 ms, release: 20..80 ms,
    without: {{failures: lock_does_not_hold, because: form-locked}}}}
charts:
  x:
    runs: {{initial: true, do: [pin_release], next: {{pinning: open_requested}}}}
    pinning: {{next: {{open: {pinned}}}}}
    open: {{do: [hood_unlock], next: {{closing: NOT open_requested AND hood_closed AND open.T >= T#200ms}}}}
    closing: {{next: {{runs: hood_closed AND hood_locked}}}}
{rest}
requirements:
  - {{id: R1, never: carriage.is_moving AND hood.is_open, under: {under}}}
{more}
"""


def _machine(
    held: str = "air.is_on OR pin.is_home",
    pinned: str = "pin_in",
    rest: str = "",
    under: str = "any one fault",
    more: str = "",
) -> Sequence:
    return read_sequence_text(
        MACHINE.format(held=held, pinned=pinned, rest=rest, under=under, more=more), "carriage.yaml"
    )


def _verdicts(sequence: Sequence) -> dict[str, Verdict]:
    found = check_sequence(sequence, CheckOptions(traps=False)).requirements
    return {part.requirement.id: part.verdict for part in found}


RULE = "rules: [{stored energy: pin.is_home}]"


def test_a_carriage_that_hangs_on_air_drops_behind_the_open_hood_when_air_is_lost() -> None:
    sequence = _machine(held="air.is_on", under="fault air.lost")
    assert _verdicts(sequence)["R1"] is Verdict.VIOLATED


def test_a_pin_that_springs_in_restrains_it_whatever_air_and_power_do() -> None:
    """R1 is vacuous: the carriage moves in no run without a failure. What speaks of its energy is put to the test."""
    asked = "  - {id: R2, never: carriage.is_stored AND hood.is_open AND NOT pin.is_home, under: 'faults air.lost, power.lost'}"
    found = _verdicts(_machine(more=asked, under="fault air.lost"))
    assert found == {"R1": Verdict.VACUOUS, "R2": Verdict.HOLDS}


def test_the_rule_asks_for_the_pin_and_not_only_for_standstill() -> None:
    """Unlocking before the pin is in: nothing moves without a failure, and yet the energy is not restrained."""
    early = _verdicts(_machine(pinned="TRUE", rest=RULE, under="no fault"))
    assert early["R1"] is Verdict.VACUOUS
    assert early["SE.hood.carriage"] is Verdict.VIOLATED


def test_a_pin_switch_that_lies_breaks_the_rule() -> None:
    assert _verdicts(_machine(rest=RULE, under="no fault"))["SE.hood.carriage"] is Verdict.VIOLATED


def test_a_file_in_which_nothing_stores_energy_is_told_so() -> None:
    text = MACHINE.format(held="", pinned="pin_in", rest=RULE, under="", more="")
    text = text.replace("  carriage: {type: load, held by: , drop: 0.5..1 s, hazard: crush}\n", "")
    text = text[: text.index("requirements:")]
    with pytest.raises(SequenceFileError, match="a device with the fact is_stored"):
        read_sequence_text(text, "carriage.yaml")
