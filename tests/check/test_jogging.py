"""Jogging by hold-to-run at reduced speed: proven without a failure, refuted by a drive that exceeds it."""

from __future__ import annotations

from seqcheck import Verdict, check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.reader.read import read_sequence_text

FILE = """\
sequence: Jogging
scan: {period: 10 ms, write: 0 ms}
devices:
  unwind:
    type: drive
    run: unwind_run
    jog: unwind_jog
    jog stop: 50..200 ms
    stop: 900..1100 ms
    start: 1000..1200 ms
    initially: stopped
    hazard: draw in
  hold: {type: hold_to_run, held: jog_held, positions: three}
charts:
  c:
    waits: {initial: true, next: {jogs: jog_held}}
    jogs: {do: [unwind_jog], next: {waits: NOT jog_held}}
requirements:
  - {id: R1, always: NOT unwind.is_moving OR unwind.is_at_reduced_speed}
  - {id: R2, when: NOT hold.is_held, then: unwind.is_stopped, within: 220 ms, until: hold.is_held}
  - {id: R3, always: NOT unwind.is_moving OR unwind.is_at_reduced_speed, under: fault unwind.exceeds_reduced_speed}
  - {id: R4, when: NOT hold.is_held, then: unwind.is_stopped, within: 220 ms, until: hold.is_held, under: fault hold.stays_in}
"""


def test_it_moves_at_reduced_speed_while_it_is_held_unless_drive_or_control_fail() -> None:
    found = check_sequence(read_sequence_text(FILE, "f.yaml"), CheckOptions(traps=False)).requirements
    assert [judged.verdict for judged in found] == [Verdict.HOLDS, Verdict.HOLDS, Verdict.VIOLATED, Verdict.VIOLATED]
    assert [measure.worst for measure in found[1].measures] == [210_000]
    assert all(judged.witness is not None and judged.witness.confirmed for judged in found[2:])
