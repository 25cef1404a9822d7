"""A web stopped at a mark: positions worked by hand, and the tolerance at which the verdict turns.

v = 12 m/min = 200 mm/s. From the mark to the ramp: signal delay 1..3 ms, a scan of at most 10 ms, write 0..2 ms: 1..15 ms.
The ramp takes 40..60 ms, at half the speed on average. Nearest: 200 mm/s x (1 + 40/2) ms = 4.2 mm;
farthest: 200 mm/s x (15 + 60/2) ms = 9.0 mm.
Source: textbook kinematics, worked by hand.
"""

from __future__ import annotations

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

NIP = """\
sequence: Trial
scan: {period: 4..10 ms, write: 0..2 ms}
devices:
  nip: {type: drive, run: nip_run, stop: 40..60 ms, start: 60..100 ms, stopped: ns, at_speed: na, initially: stopped}
  mark: {type: sensor, seen: {name: mark_seen, delay: 1..3 ms}, while: nip.is_at_speed, appears: 200..2000 ms}
  b: {type: pushbutton, pressed: p}
charts:
  c:
    idle: {initial: true, next: {creep: p}}
    creep: {do: [nip_run], next: {stop: mark_seen}}
    stop: {next: {idle: ns AND stop.T >= T#100ms}}
requirements:
"""
HALTED = NIP.replace("charts:", "  h: {type: pushbutton, pressed: halt}\ncharts:").replace(
    "next: {stop: mark_seen}}", "next: {lost: halt, stop: mark_seen AND NOT halt}}\n    lost: {next: {idle: ns AND NOT halt}}"
)
"""The same, with a button that stops the nip wherever the mark is."""
FIELDS = "mark: mark.is_seen, drive: nip, speed: 12 m/min, registered in: stop, given: anything"


def stopped_at(position: str, tolerance: str, more: str = "", nip: str = NIP) -> RequirementOutcome:
    text = f"{nip}  - {{id: R, stop position: {position}, tolerance: {tolerance}, {FIELDS}{more}}}\n"
    (outcome,) = check_sequence(read_sequence_text(text, "trial.yaml")).requirements
    return outcome


def test_the_nearest_and_the_farthest_rest_are_those_worked_by_hand() -> None:
    outcome = stopped_at("7 mm", "3 mm")
    assert outcome.verdict.value == "holds"
    shown = [(part.quantity, part.unit, part.worst, part.limit, part.is_exact) for part in outcome.measures]
    assert shown == [
        ("web from mark to standstill, most", "mm", pytest.approx(9.0, abs=1e-9), 10.0, True),
        ("web from mark to standstill, least", "mm", pytest.approx(4.2, abs=1e-9), 4.0, True),
    ]


def test_a_tolerance_that_the_scatter_just_fills_holds() -> None:
    """4.2..9.0 mm is 6.6 mm, give or take 2.4 mm."""
    assert stopped_at("6.6 mm", "2.4 mm").verdict.value == "holds"


@pytest.mark.parametrize("position", ["6.59 mm", "6.61 mm"])
def test_a_hundredth_of_a_millimetre_off_it_is_violated_by_a_confirmed_run(position: str) -> None:
    outcome = stopped_at(position, "2.4 mm")
    assert outcome.witness is not None
    assert (outcome.verdict.value, outcome.witness.confirmed) == ("violated", True)


def test_a_mark_signal_that_lies_takes_the_web_for_registered_without_a_mark() -> None:
    outcome = stopped_at("6.6 mm", "2.4 mm", ", under: fault mark.seen_signal_stuck_on")
    assert (outcome.verdict.value, outcome.judged_on) == ("violated", "machine")


def test_a_nip_that_coasts_misses_the_mark() -> None:
    assert stopped_at("6.6 mm", "2.4 mm", ", under: fault nip.coasts").verdict.value == "violated"


def test_a_stop_for_another_reason_that_meets_a_mark_by_chance_is_left_out_by_unless() -> None:
    """Halted in the instant in which a mark comes, the web moves on by the ramp alone: 4.0 mm, not 4.2 mm."""
    assert stopped_at("6.6 mm", "2.4 mm", nip=HALTED).verdict.value == "violated"
    assert stopped_at("6.6 mm", "2.4 mm", ", unless: c.lost.X", HALTED).verdict.value == "holds"


def test_a_mark_signal_that_does_not_make_is_a_missed_mark() -> None:
    assert stopped_at("6.6 mm", "2.4 mm", ", under: fault mark.seen_signal_stuck_off").verdict.value == "violated"


def test_a_tolerance_below_the_scatter_of_the_ramp_alone_is_a_mistake_in_the_file() -> None:
    """The ramp alone takes 100 mm/s x 40..60 ms = 4..6 mm, which no tolerance of 0.9 mm has room for."""
    with pytest.raises(SequenceFileError, match=r"found a ramp that alone takes 4\.000 to 6\.000 mm"):
        stopped_at("7 mm", "0.9 mm")


def test_a_drive_that_is_none_is_a_mistake_in_the_file() -> None:
    text = f"{NIP}  - {{id: R, stop position: 7 mm, tolerance: 3 mm, {FIELDS.replace('drive: nip', 'drive: mark')}}}\n"
    with pytest.raises(SequenceFileError, match="expected a device of type drive, found 'mark'"):
        read_sequence_text(text, "trial.yaml")


def test_a_mark_that_never_comes_is_no_pass() -> None:
    never = NIP.replace("next: {creep: p}", "next: {creep: p AND NOT p}")
    assert stopped_at("6.6 mm", "2.4 mm", nip=never).verdict.value == "vacuous"
