"""A whole check: groups, jobs, selection, overriding, exit codes, interruption."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.errors import UsageError
from seqcheck.explore.limits import Limits
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.requirements.verdict import Verdict

FOLDER = Path(__file__).parent
IDS = ("I1", "I2", "N1", "N2", "C1", "C2", "D1", "O1", "T1")

LONG_WAY = """\
sequence: A long way after the failure
scan: {period: 4..10 ms, write: 0..4 ms}
devices:
  k: {type: free, states: {
      fine: {initial: true, next: {bad: {failure: jams}}},
      bad: {next: {worse: {after: 50..51 ms}}},
      worse: {facts: is_bad}}}
  x: {type: free, states: {
      x0: {initial: true, next: {x1: {after: 1..9 ms}}},
      x1: {next: {x2: {after: 1..9 ms}}},
      x2: {next: {x3: {after: 1..9 ms}}},
      x3: {facts: is_last}}}
  y: {type: free, states: {
      y0: {initial: true, next: {y1: {after: 1..9 ms}}},
      y1: {next: {y2: {after: 1..9 ms}}},
      y2: {next: {y3: {after: 1..9 ms}}},
      y3: {facts: is_last}}}
charts: {c: {a: {initial: true}}}
requirements: [{id: R, never: k.is_bad AND x.is_last AND y.is_last, under: any one fault}]
"""


def _clamp() -> Sequence:
    return read_sequence(FOLDER / "clamp.yaml")


@cache
def _whole() -> Outcome:
    return check_sequence(_clamp())


def _told(part: RequirementOutcome) -> object:
    """All that is said of a requirement, but for how much was explored."""
    return replace(part, classes=0, states=0, transitions=0, layers=0, witness=None), _lines(part)


def _lines(part: RequirementOutcome) -> object:
    if part.witness is None:
        return None
    return part.witness.lines, part.witness.confirmed, part.witness.reason


def test_verdicts_of_the_trial() -> None:
    verdicts = {part.requirement.id: part.verdict.value for part in _whole().requirements}
    assert verdicts == {
        "I1": "violated",
        "I2": "violated",
        "N1": "violated",
        "N2": "holds",
        "C1": "holds",
        "C2": "violated",
        "D1": "violated",
        "O1": "violated",
        "T1": "violated",
    }
    assert all(part.witness is None or part.witness.confirmed for part in _whole().requirements)


@pytest.mark.parametrize("name", IDS)
def test_a_requirement_alone_gets_the_same_verdict_and_values_as_in_company(name: str) -> None:
    (alone,) = check_sequence(_clamp(), CheckOptions(only=(name,))).requirements
    together = next(part for part in _whole().requirements if part.requirement.id == name)
    assert (alone.verdict, alone.reason, alone.untested, alone.latent) == (
        together.verdict,
        together.reason,
        together.untested,
        together.latent,
    )
    assert [(part.quantity, part.worst, part.best) for part in alone.measures] == [
        (part.quantity, part.worst, part.best) for part in together.measures
    ]


def test_two_processes_find_what_one_finds_to_the_line() -> None:
    here = _whole()
    spread = check_sequence(_clamp(), CheckOptions(jobs=2))
    assert [_told(part) for part in spread.requirements] == [_told(part) for part in here.requirements]
    assert (spread.classes, spread.transitions, spread.traps) == (here.classes, here.transitions, here.traps)


def test_two_processes_share_the_failures_of_any_two_faults() -> None:
    options = CheckOptions(only=("N1",), faults=2)
    here = check_sequence(_clamp(), options)
    spread = check_sequence(_clamp(), replace(options, jobs=2))
    assert [_told(part) for part in spread.requirements] == [_told(part) for part in here.requirements]
    assert spread.classes == here.classes


@pytest.mark.parametrize("name", ["I1", "N2", "C1", "C2", "T1"])
def test_reductions_switched_off_change_no_verdict_and_no_value(name: str) -> None:
    reduced = next(part for part in _whole().requirements if part.requirement.id == name)
    (plain,) = check_sequence(_clamp(), CheckOptions(only=(name,), reductions=False)).requirements
    assert plain.verdict is reduced.verdict
    assert [(part.quantity, part.worst, part.best) for part in plain.measures] == [
        (part.quantity, part.worst, part.best) for part in reduced.measures
    ]


def test_only_the_requirements_asked_for_are_checked_in_the_order_of_the_file() -> None:
    found = check_sequence(_clamp(), CheckOptions(only=("C1", "N2"))).requirements
    assert [part.requirement.id for part in found] == ["N2", "C1"]


def test_an_id_that_the_file_does_not_have_is_a_usage_error_with_the_nearest_one() -> None:
    text = (FOLDER / "clamp.yaml").read_text().replace("id: N1", "id: hood_open")
    with pytest.raises(UsageError, match="has no requirement 'hod_open'; did you mean hood_open"):
        check_sequence(read_sequence_text(text, "clamp.yaml"), CheckOptions(only=("hod_open",)))


def test_faults_replace_the_number_that_a_requirement_states() -> None:
    (without,) = check_sequence(_clamp(), CheckOptions(only=("C2",), faults=0)).requirements
    assert (without.hypothesis, without.verdict) == ("no fault", Verdict.HOLDS)
    (one,) = check_sequence(_clamp(), CheckOptions(only=("C1",), faults=1)).requirements
    assert (one.hypothesis, one.verdict) == ("any one fault", Verdict.VIOLATED)


# -- exit codes ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("only", "limits", "code"),
    [
        (("N2", "C1"), Limits(), 0),
        (("N2", "N1"), Limits(), 1),
        (("C1",), Limits(classes=1), 3),
        (("C1", "N1"), Limits(classes=1), 3),
    ],
)
def test_exit_code(only: tuple[str, ...], limits: Limits, code: int) -> None:
    assert check_sequence(_clamp(), CheckOptions(only=only, limits=limits)).exit_code() == code


def test_a_vacuous_requirement_is_no_pass() -> None:
    text = (FOLDER / "clamp.yaml").read_text() + "  - {id: V, never: clamp_late AND splice.ready.X}\n"
    outcome = check_sequence(read_sequence_text(text, "clamp.yaml"), CheckOptions(only=("V",)))
    assert (outcome.requirements[0].verdict, outcome.exit_code()) == (Verdict.VACUOUS, 1)


def test_findings_count_only_when_strict() -> None:
    outcome = check_sequence(_clamp(), CheckOptions(only=("N2",)))
    assert outcome.findings
    assert (outcome.exit_code(), outcome.exit_code(strict=True)) == (0, 1)


# -- limits and interruption ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limits", "reason"),
    [
        (Limits(classes=1), "the limit on classes was reached"),
        (Limits(seconds=0.0), "the limit on seconds was reached"),
        (Limits(memory_mib=1), "the limit on memory was reached"),
    ],
)
def test_a_limit_makes_undecided_and_says_how_far_it_came(limits: Limits, reason: str) -> None:
    (found,) = check_sequence(_clamp(), CheckOptions(only=("C1",), limits=limits)).requirements
    assert found.verdict is Verdict.UNDECIDED
    assert found.reason == f"{reason}; {found.classes} classes were explored"
    assert 0 < found.classes < 19


def test_a_violation_found_before_a_limit_is_told_in_full() -> None:
    """However close the limit is, the way to what was found is found again."""
    sequence = read_sequence_text(LONG_WAY, "long.yaml")
    whole = check_sequence(sequence)
    assert whole.requirements[0].verdict is Verdict.VIOLATED
    for classes in range(whole.classes - 40, whole.classes + 1, 8):
        (found,) = check_sequence(sequence, CheckOptions(limits=Limits(classes=classes))).requirements
        assert found.verdict in (Verdict.VIOLATED, Verdict.UNDECIDED)
        assert found.witness is None or found.witness.confirmed


@pytest.mark.parametrize("call", [1, 2, 3])
def test_ctrl_c_ends_the_check_at_once_with_what_was_found(call: int) -> None:
    calls = 0

    def interrupt(*_: object) -> None:
        nonlocal calls
        calls += 1
        if calls == call:
            raise KeyboardInterrupt

    outcome = check_sequence(_clamp(), CheckOptions(only=("C1", "C2"), report=interrupt))
    assert calls == call, "nothing more is explored"
    assert outcome.stopped == "it was interrupted"
    undecided = [part for part in outcome.requirements if part.verdict is Verdict.UNDECIDED]
    assert undecided
    assert all(part.reason.startswith("it was interrupted") for part in undecided)


# -- time that stops -----------------------------------------------------------------------------------------

CHASE = """\
sequence: Two devices that chase one another
scan: {period: 10 ms, write: 0 ms}
devices:
  k: {type: timed, on: 1..2 ms, off: 1..2 ms, output: o}
  x: {type: free, states: {
      lo: {initial: true, next: {hi: {when: NOT y.is_hi AND o AFTER}}},
      hi: {facts: is_hi, next: {lo: {when: y.is_hi AFTER}}}}}
  y: {type: free, states: {
      lo: {initial: true, next: {hi: {when: x.is_hi AFTER}}},
      hi: {facts: is_hi, next: {lo: {when: NOT x.is_hi AFTER}}}}}
charts: {c: {a: {initial: true, do: [o], next: {e: a.T >= T#50ms}}, e: {}}}
requirements: [{id: R, from: a, reaches: e, within: 70 ms, given: anything}]
"""


@pytest.mark.parametrize(
    ("after", "reason"),
    [
        ("", "devices move in a circle in one instant, so time would stop"),
        (", after: 0..0 ms", "a loop that takes no time was reached (x, y); every limit would hold in it"),
    ],
)
def test_devices_that_can_stop_time_leave_a_limit_undecided_although_nothing_depends_on_them(
    after: str, reason: str
) -> None:
    outcome = check_sequence(read_sequence_text(CHASE.replace(" AFTER", after), "chase.yaml"))
    (found,) = outcome.requirements
    assert found.verdict is Verdict.UNDECIDED
    assert found.reason.startswith(reason)
    assert outcome.exit_code() == 3


# -- traps ---------------------------------------------------------------------------------------------------


def test_a_trap_is_found_with_a_confirmed_way_into_it() -> None:
    text = """\
sequence: A step without a way out
scan: {period: 10 ms, write: 0 ms}
devices: {b: {type: pushbutton, pressed: p}}
charts: {c: {a: {initial: true, next: {d: p}}, d: {next: {e: c.a.X}}, e: {next: {a: p}}}}
"""
    (trap,) = check_sequence(read_sequence_text(text, "trap.yaml")).traps
    assert (trap.steps, trap.witness.confirmed) == (("c.d",), True)
    assert [line.what for line in trap.witness.lines] == ["b presses", "controller reads: c enters d"]


def test_a_step_that_an_act_can_leave_is_no_trap() -> None:
    assert _whole().traps == ()


# -- fixed scans ---------------------------------------------------------------------------------------------

FIXED = """\
sequence: A fixed scan
scan: {period: 10 ms, write: 0 ms}
charts: {c: {a: {initial: true, next: {d: a.T >= T#25ms}}, d: {}}}
requirements: [{id: R, between: c.a.X, and: c.d.X, at most: LIMIT, given: anything}]
"""


def test_a_violation_that_no_periodic_scan_attains_is_undecided() -> None:
    """Reads come at 10, 20, 30 ms, so d is entered at 30 ms; the explorer's read on demand could come at up to 35 ms."""
    (found,) = check_sequence(read_sequence_text(FIXED.replace("LIMIT", "32 ms"), "fixed.yaml")).requirements
    assert found.verdict is Verdict.UNDECIDED
    assert "no placing of periodic scans attains it" in found.reason


def test_a_violation_that_the_fixed_scan_attains_is_confirmed() -> None:
    (found,) = check_sequence(read_sequence_text(FIXED.replace("LIMIT", "29 ms"), "fixed.yaml")).requirements
    assert found.witness is not None
    assert (found.verdict, found.witness.confirmed) == (Verdict.VIOLATED, True)
