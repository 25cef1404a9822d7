"""A good file becomes exactly the dataclasses that it describes."""

from pathlib import Path

import pytest
from reader.splicer_file import SPLICER

from seqcheck.errors import Place
from seqcheck.language.expression import to_text
from seqcheck.language.field import Signal
from seqcheck.language.sequence import (
    Accumulator,
    Action,
    Flag,
    Given,
    Hypothesis,
    Line,
    Roll,
    Scan,
    Sequence,
    Unwind,
    Watchdog,
    Web,
)
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence, read_sequence_text


@pytest.fixture(scope="module")
def splicer() -> Sequence:
    return read_sequence_text(SPLICER, "s.yaml")


def test_the_head_of_the_file(splicer: Sequence) -> None:
    assert (splicer.name, splicer.revision, splicer.note) == ("Trial splicer", "7", "for tests")
    assert (splicer.file, splicer.base_file) == ("s.yaml", None)
    assert splicer.scan == Scan(period=TimeRange(4_000, 10_000), write=TimeRange(0, 10_000))


def test_the_machine_data_in_their_units(splicer: Sequence) -> None:
    machine = splicer.machine
    assert machine.web == Web(
        width_mm=420.0,
        caliper_mm=0.45,
        grammage_g_per_m2=55.0,
        stiffness_n=12_000.0,
        tension_run_n=60.0,
        tension_least_n=20.0,
    )
    assert machine.line == Line(
        speed_m_per_s=4.0, stop=TimeRange(2_000_000, 2_500_000), start=TimeRange(2_000_000, 3_000_000)
    )
    assert machine.roll == Roll(outside_mm=1200.0, core_mm=76.0)
    assert machine.unwind == Unwind(
        stop=TimeRange(900_000, 1_100_000), start=TimeRange(1_000_000, 1_200_000), overspeed_ratio=0.15
    )
    assert machine.accumulator == Accumulator(
        strands=12, stroke_m=1.5, running_ratio=0.2, filled_ratio=0.95, reserve_ratio=0.05
    )


def test_a_device_with_group_hazard_and_failures(splicer: Sequence) -> None:
    knife = splicer.device("knife")
    assert knife is not None
    assert knife.place == Place("s.yaml", 14, 3)
    assert {entry.name: entry.value for entry in knife.entries} == {
        "out": TimeRange(180_000, 260_000),
        "back": TimeRange(200_000, 300_000),
        "output": "knife_fire",
        "switches.home": Signal(name="knife_home", delay=TimeRange(2_000, 5_000)),
        "switches.band": TimeRange(5_000, 40_000),
    }
    assert (knife.hazard, knife.excluded_failures) == ("cut", ("slow",))
    assert knife.excluded_because == "the stroke is short"
    assert knife.intermittent_failures == ("home_signal_stuck_off",)


def test_a_circuit_sees_signals_and_facts(splicer: Sequence) -> None:
    (drives,) = splicer.circuits
    assert [to_text(channel) for channel in drives.channels] == ["estop_ok", "hood.is_closed"]
    assert (drives.drop, drives.discrepancy_us) == (TimeRange(10_000, 30_000), 500_000)
    assert drives.signal == "drives_on"


def test_flags_and_alarms(splicer: Sequence) -> None:
    assert splicer.flags == (Flag(name="spliced", place=Place("s.yaml", 34, 9)),)
    assert [(alarm.name, alarm.text, to_text(alarm.clear)) for alarm in splicer.alarms] == [
        ("fill_late", "The festoon is not full.", "reset"),
        ("knife_late", "The knife did not come home.", "reset AND knife_home"),
    ]


def test_steps_flags_and_times_get_their_full_names(splicer: Sequence) -> None:
    cutting = splicer.chart("splice").steps[2]
    ways = [(way.target, to_text(way.condition)) for way in splicer.chart("splice").transitions_of(cutting)]
    assert ways == [
        ("faulted", "NOT hood_closed"),
        ("ready", "knife_home AND splice.cutting.T >= T#500ms AND unwind_stopped"),
        ("faulted", "splice.cutting.late"),
        ("faulted", "FALLING(estop_ok)"),
    ]
    lamp = splicer.chart("lamp")
    assert to_text(lamp.steps[0].transitions[0].condition) == "spliced AND splice.cutting.X"
    assert to_text(lamp.steps[1].transitions[0].condition) == "NOT splice.cutting.X"


def test_a_step_with_qualified_actions_and_a_watchdog(splicer: Sequence) -> None:
    ready, _, cutting, faulted = splicer.chart("splice").steps
    place = Place("s.yaml", 50, 12)
    assert cutting.actions == (
        Action(variable="hood_lock", place=place),
        Action(variable="line_run", place=Place("s.yaml", 50, 23)),
        Action(variable="knife_fire", place=Place("s.yaml", 50, 34), qualifier="L", time_us=300_000),
        Action(variable="spliced", place=Place("s.yaml", 50, 58), qualifier="S"),
    )
    assert cutting.watchdog == Watchdog(limit_us=1_500_000, alarm="knife_late", place=Place("s.yaml", 52, 14))
    assert (ready.initial, cutting.initial) == (True, False)
    assert (faulted.prompt, ready.prompt) == ("Clear the web", None)


def test_requirements_with_their_defaults(splicer: Sequence) -> None:
    first, second, third = splicer.requirements
    assert (first.kind, first.severity, first.clause) == ("interlock", "safety", "ISO 12100 6.3.2")
    assert first.text == "interlock knife_fire, only while hood_closed AND unwind_stopped, drop within 60 ms"
    assert first.value("drop within", int) == 60_000
    assert (first.under, first.given, first.start_anywhere) == (Hypothesis(count=1), Given(), False)
    assert second.text == "The knife never moves at an open hood."
    assert second.under == Hypothesis(count=2, named=("knife.jams", "hood.closed_signal_stuck_on"))
    assert second.start_anywhere
    assert third.value("from", str) == "splice.filling"
    assert third.value("reaches", tuple) == ("splice.ready", "splice.faulted")
    assert third.severity == "production"
    assert third.given == Given(allowed=("request", "reset_button"), still=(("hood", "closed"),))


def test_what_the_words_of_under_and_given_say_comes_back_as_text(splicer: Sequence) -> None:
    assert splicer.requirements[1].under.text == "faults knife.jams, hood.closed_signal_stuck_on"
    assert (
        splicer.requirements[2].given.text == "hood stays closed; no operator act but request, reset_button"
    )


def test_a_file_on_disk_reads_like_its_text(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    path.write_text(SPLICER, encoding="utf-8")
    assert read_sequence(path) == read_sequence_text(SPLICER, str(path))
