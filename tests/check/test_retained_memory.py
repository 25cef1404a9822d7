"""Power-up with cold memory and with what the file says is retained: steps and flags."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck import Verdict, check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.cli.main import run
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

FILE = """\
sequence: Power-up
scan: {period: 10 ms, write: 0 ms}
devices:
  knife: {type: timed, output: knife_run, on: 10..20 ms, off: 10..20 ms, hazard: cut}
  start: {type: pushbutton, pressed: start_pressed}
flags: [ARMED]
charts:
  c:
    stands: {initial: true, next: {cuts: armed AND NOT start_pressed}}
    cuts: {do: [knife_run], next: {stands: start_pressed}}
    arms: {do: [{armed: S}], next: {stands: start_pressed}}
requirements:
  - {id: R1, no: knife.is_on, before: start_pressed, since: c.arms.X, start: anywhere}
  - {id: R2, never: c.cuts.X AND NOT armed, start: anywhere}
  - {id: R3, never: armed, start: anywhere}
"""
RETAINED = "{name: armed, retained: true}"


def judged(flag: str, *, arms: str = "arms: {do") -> dict[str, RequirementOutcome]:
    text = FILE.replace("ARMED", flag).replace("arms: {do", arms)
    outcome = check_sequence(read_sequence_text(text, "f.yaml"), CheckOptions(traps=False))
    return {part.requirement.id: part for part in outcome.requirements}


def test_a_flag_that_is_retained_may_be_on_at_power_up() -> None:
    """Nothing is found in the step that arms, so only memory can have armed it."""
    assert judged(RETAINED)["R3"].verdict is Verdict.VIOLATED
    witness = judged(RETAINED)["R3"].witness
    assert witness is not None
    assert (witness.confirmed, witness.scenario and witness.scenario.found and witness.scenario.found.flags) == (True, ("armed",))


def test_what_is_stored_is_retained_with_its_flag() -> None:
    """Else the first run of the controller would take the flag back, and the knife would not cut."""
    found = judged(RETAINED)
    assert found["R1"].verdict is Verdict.VIOLATED
    assert found["R2"].verdict is not Verdict.VIOLATED


def test_where_only_a_step_is_retained_other_steps_and_flags_begin_anew() -> None:
    assert judged("armed", arms="arms: {retained: true, do")["R2"].verdict is not Verdict.VIOLATED
    assert judged("armed")["R2"].verdict is Verdict.VIOLATED, "where nothing is said every step may be kept"


def test_a_run_from_retained_memory_is_run_again_from_its_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "f.yaml"
    path.write_text(FILE.replace("ARMED", RETAINED), encoding="utf-8")
    assert run(["check", str(path), "--only", "R3", "--examples", "0", "--witnesses", str(tmp_path / "runs")]) == 1
    (scenario,) = (tmp_path / "runs").glob("*R3*.yaml")
    assert 'flags: ["armed"]' in scenario.read_text(encoding="utf-8")
    capsys.readouterr()
    assert run(["simulate", str(path), "--scenario", str(scenario)]) == 1
    assert "R3" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("flag", "problem"),
    [
        ("{name: armed, r: true}", "f.yaml:6:23: expected a field of a flag (name, retained), found 'r'"),
        ("{retained: true}", "f.yaml:6:9: expected 'name' of a flag, found nothing"),
        ("{name: armed, retained: yes}", "f.yaml:6:33: expected a word for 'retained' (true, false), found 'yes'"),
    ],
)
def test_a_flag_that_is_wrong_is_told(flag: str, problem: str) -> None:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(FILE.replace("ARMED", flag), "f.yaml")
    assert problem in str(caught.value).splitlines()
