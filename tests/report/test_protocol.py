"""The acceptance test of a machine: all requirements and faults are in it, with times of the proof, in few set-ups."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from report.pin_protocol import PIN, outcome, protocol, set_up_of

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.kernel.build import behaviours_of
from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.report.build_protocol import protocol_of
from seqcheck.report.build_review import review_of
from seqcheck.report.requirement_checks import requirement_set_ups
from seqcheck.report.review_options import ReviewOptions
from seqcheck.report.rig import BODIES
from seqcheck.report.ways import ways_of
from seqcheck.requirements.verdict import Verdict

BUNDLED = sorted((Path(__file__).parents[2] / "sequences").glob("*.yaml"))


def test_every_requirement_has_a_check() -> None:
    keys = [check.key for one in protocol().set_ups if not one.is_fault for check in one.checks]
    assert sorted(keys) == ["S1", "T1", "V1"]


def test_every_failure_has_a_check_or_a_reason_and_none_has_both() -> None:
    every = {f"{part.device}.{mode.name}" for part in behaviours_of(outcome().sequence) for mode in part.failures}
    checked = {check.key.split(" ")[0] for one in protocol().set_ups if one.is_fault for check in one.checks}
    excused = {name for name, _ in protocol().not_tested}
    assert "pin.jams" in checked and excused == {"pin.slow", "pin.valve_sticks"}
    assert checked | excused == every | {"pin.slow", "pin.valve_sticks"}
    assert not checked & excused


def test_keys_are_unique_and_nothing_is_set_up_twice() -> None:
    keys = [check.key for one in protocol().set_ups for check in one.checks]
    titles = [one.title for one in protocol().set_ups]
    assert len(set(keys)) == len(keys) == protocol().checks
    assert len(set(titles)) == len(titles) == 9  # 1 sound, jams, 5 wires, 2 of the circuit's body


def test_one_test_switch_serves_an_open_and_a_bridged_wire() -> None:
    opened, check_open = set_up_of("stop.healthy_signal_stuck_off")
    bridged, check_bridged = set_up_of("stop.healthy_signal_stuck_on")
    assert opened is bridged
    assert "estop_ok" in opened.prepare[1]
    assert check_open.do[-1].startswith("Open the wire of estop_ok") and "stays off" in check_open.do[-1]
    assert check_bridged.do[-1].startswith("Bridge the wire of estop_ok") and "stays on" in check_bridged.do[-1]


def test_times_of_a_requirement_are_those_of_the_proof() -> None:
    """The circuit drops within 15 ms of its channel; the file allows 20 ms."""
    _, check = set_up_of("T1")
    assert "reaction: at most 15 ms by the proof; allowed at most 20 ms." in check.expect
    assert check.do[0] == "Bring this about (stop.is_pressed): stop.is_pressed on: press stop."


def test_reaction_to_a_fault_is_that_of_the_fault_table() -> None:
    """It shows from 100 ms on, when the pin can be out; the watchdog ends at 300 ms and is seen 2 reads of 10 ms later at most."""
    _, check = set_up_of("pin.out_signal_stuck_off")
    assert check.expect[0] == "Alarm late comes first, at the latest after 220 ms."
    (line,) = check.in_steps
    assert (line.step, line.alarm, line.safe) == ("push.out", "late within 220 ms", "not proven")
    assert {"first alarm", "time to it"} <= set(check.write_down)


def test_steps_in_which_the_same_happens_are_lines_of_one_check_with_the_longest_time_above() -> None:
    _, check = set_up_of("air.lost")
    assert [(line.step, line.safe) for line in check.in_steps] == [("push.ready", "within 150 ms"), ("push.out", "within 360 ms")]
    assert check.expect[1].startswith("At the latest after 360 ms, none of these is on or moves")
    assert check.in_steps[1].on_the_way == "push goes to ready; pin_out goes off"


def test_every_row_of_the_fault_table_is_a_line() -> None:
    review = review_of(outcome().sequence, outcome(), ReviewOptions())
    lines = [(check.key.split(" ")[0], line.step) for one in protocol().set_ups for check in one.checks for line in check.in_steps]
    assert sorted(lines) == sorted((row.failure, row.step) for row in review.faults.rows)


def test_unnoticed_fault_and_a_machine_that_runs_on_are_warned_of() -> None:
    _, check = set_up_of("pin.out_signal_stuck_on")
    assert any("No alarm tells" in text for text in check.warn)
    assert any("run on until somebody stops" in text for text in check.warn)
    assert "time to safe state" not in check.write_down


def test_what_is_not_proven_is_not_accepted() -> None:
    _, check = set_up_of("V1")
    assert not check.is_proven and "violated" in check.warn[0]
    assert check.expect == ("Nothing is proven that could be accepted; put the sequence right first.",)


def test_requirements_proven_under_one_fault_are_watched_in_every_fault() -> None:
    assert protocol().watched == (("S1", "Pin only with air"),)


def test_a_permissive_is_taken_away_through_the_circuit_behind_it() -> None:
    _, check = set_up_of("S1")
    assert "air_ok off: take away a channel of air (estop_ok off: press stop)" in check.do[1]


def test_a_signal_that_nobody_acts_on_is_taken_away_at_its_wire_and_given_by_the_machine() -> None:
    ways = ways_of(outcome().sequence)
    assert ways.text("pin_is_home", False) == "pin_is_home off: open its wire at the terminal with a test switch"
    assert ways.text("pin_is_home", True) == "pin_is_home on: run the sequence until pin gets there"
    assert ways.text("pin.is_home", False) == "pin.is_home off: run the sequence until pin gets there"


def test_never_is_brought_about_and_always_is_broken() -> None:
    text = PIN.replace("never: pin.is_moving}", "never: pin.is_moving AND stop.is_pressed}")
    text += "  - {id: V2, text: Stop is out, always: NOT stop.is_pressed}\n"
    judged = check_sequence(read_sequence_text(text, "pin.yaml"), CheckOptions(traps=False))
    (made,) = requirement_set_ups(judged, ways_of(judged.sequence))
    do = {check.key: check.do for check in made.checks}
    assert do["V1"][2] == "Try to bring about (stop.is_pressed) while the rest stands: stop.is_pressed on: press stop."
    assert do["V2"][1] == "Try to break (NOT stop.is_pressed): stop.is_pressed on: press stop."


@pytest.mark.parametrize(
    ("limits", "expected"),
    [
        ("at least: 100 ms", ["duration: at least 100 ms by the proof; allowed at least 100 ms."]),
        ("at least: 80 ms", ["Slow enough: at least 80 ms."]),  # beyond it the stopwatch measures nothing
        (
            "at least: 80 ms, at most: 2 s",
            [
                "duration: at least 100 ms by the proof; allowed at least 80 ms.",
                "duration: at most 210 ms by the proof; allowed at most 2 s.",
            ],
        ),
    ],
)
def test_a_least_duration_is_told_with_its_best_and_not_with_where_the_stopwatch_stops(limits: str, expected: list[str]) -> None:
    """The pin needs 100 to 200 ms to be out, and a 10 ms scan sees it one read later at most."""
    text = f"{PIN}  - {{id: D1, text: Slow enough, between: push.out.X, and: push.ready.X, {limits}, given: anything}}\n"
    judged = check_sequence(read_sequence_text(text, "pin.yaml"), CheckOptions(traps=False))
    (made,) = requirement_set_ups(judged, ways_of(judged.sequence))
    (check,) = [check for check in made.checks if check.key == "D1"]
    assert list(check.expect) == expected


def test_power_up_is_a_set_up_of_its_own() -> None:
    first, *others = outcome().requirements
    anywhere = replace(first, requirement=replace(first.requirement, start_anywhere=True))
    made = requirement_set_ups(replace(outcome(), requirements=(anywhere, *others)), ways_of(outcome().sequence))
    assert [[check.key for check in one.checks] for one in made] == [["V1", "T1"], ["S1"]]
    assert "power-up" in made[1].prepare[1] and "power-up" not in made[0].prepare[1]


def test_inputs_and_outputs_are_all_listed() -> None:
    assert [one.name for one in protocol().inputs] == ["pin_is_out", "pin_is_home", "estop_ok", "started", "air_ok"]
    assert protocol().inputs[2].seen_by == "pull out stop, press stop"
    (output,) = protocol().outputs
    assert (output.name, output.drives, output.hazards, output.steps) == ("pin_out", ("pin",), ("crush",), ("push.out",))


def test_alarms_have_their_causes() -> None:
    (late,) = protocol().alarms
    assert {"pin.jams", "pin.out_signal_stuck_off"} <= {one.failure for one in late.suspects}
    assert "air.lost" not in {one.failure for one in late.suspects}


def test_same_bytes_again() -> None:
    assert protocol_of(outcome(), ReviewOptions(date="2030-01-31", version="test")) == protocol()


def test_ways_of_failures_are_sentences_without_their_end() -> None:
    assert all(text[0].islower() and not text.endswith(".") for text in BODIES.values())


@pytest.mark.parametrize("file", BUNDLED, ids=lambda file: file.stem)
def test_each_requirement_of_the_bundled_sequences_can_be_told(file: Path) -> None:
    """Of every kind that they use, in words only: no dataclass, no empty name and no doubled stop is left in a sentence."""
    sequence = read_sequence(file)
    judged = tuple(
        RequirementOutcome(
            requirement=part, verdict=Verdict.HOLDS, reason="", judged_on="machine", hypothesis=part.under.text
        )
        for part in sequence.requirements
    )
    made = requirement_set_ups(Outcome(sequence=sequence, findings=(), requirements=judged), ways_of(sequence))
    checks = [check for one in made for check in one.checks]
    assert sorted(check.key for check in checks) == sorted(part.id for part in sequence.requirements)
    for check in checks:
        assert check.do and check.expect
        for text in (*check.do, *check.expect):
            assert text.endswith(".") and not text.endswith("..")
            assert not re.search(r"[A-Z]\w+\(\w+=|\(\)|: ;|None", text), text
