"""Mistakes in a scenario file are told with their places."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.check.watched_runs import watched_scenario
from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.run import RunStop
from seqcheck.simulate.scenario import Kind, Listed, Scenario, Times
from seqcheck.simulate.scenario_file import read_scenario
from seqcheck.simulate.scenario_run import run_scenario
from seqcheck.simulate.scenario_text import progressions, scenario_text

CLAMP = Path(__file__).parents[1] / "plugin" / "clamp.yaml"


def read(text: str, folder: Path) -> Scenario:
    """The scenario of a text."""
    file = folder / "s.yaml"
    file.write_text(text, encoding="utf-8")
    sequence = read_sequence(CLAMP)
    return read_scenario(file, sequence, watched_scenario(sequence, ()).network)


@pytest.mark.parametrize(
    ("text", "line", "part"),
    [
        ("scenario: a\nuntil: 1 s\nhappens:\n  - {at: 1 s, act: hood opns}\n", 4, "did you mean hood opens?"),
        (
            "scenario: a\nuntil: 1 s\nhappens:\n  - {at: 1 s, fails: knife.jam}\n",
            4,
            "did you mean knife.jams?",
        ),
        ("scenario: a\nuntil: 1 s\nhappens:\n  - {at: 1, act: hood opens}\n", 4, "expected a time"),
        ("scenario: a\nuntil: 1 s\nhappens:\n  - {at: 1 s, moves: knife out}\n", 4, "times: as listed"),
        ("scenario: a\nuntil: 1 s\nhappens:\n  - {at: 1 s}\n", 4, "none of them"),
        ("scenario: a\nuntil: 1 s\nrequirements: [R9]\n", 3, "a requirement of"),
        ("scenario: a\nuntil: 1 s\ntimes: erliest\n", 3, "did you mean earliest?"),
        ("scenario: a\ntimes: latest\n", 1, "'until' with a time"),
        ("scenario: a\nuntil: 1 s\nreads:\n  - {from: 1 ms, every: 1 ms, count: 9999999}\n", 4, "at most"),
        ("scenario: &a b\nuntil: 1 s\n", 1, "anchor"),
    ],
)
def test_a_mistake_is_told_with_its_line(text: str, line: int, part: str, tmp_path: Path) -> None:
    with pytest.raises(SequenceFileError) as error:
        read(text, tmp_path)
    assert [problem.place.line for problem in error.value.problems] == [line]
    assert part in str(error.value)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    scenario = Scenario(
        title='a "quoted" title: with colon',
        requirements=("R1", "R2"),
        until_us=125_200_000,
        listed=(
            Listed(time_us=1_500, kind=Kind.ACT, what="hood opens"),
            Listed(
                time_us=61_000_001,
                kind=Kind.READS,
                what="splice enters ready",
                failures=("knife.jams",),
                outcome=2,
            ),
        ),
        reads_us=(5_000, 10_000, 15_000, 17_000),
    )
    assert read(scenario_text(scenario, "x.yaml"), tmp_path) == scenario


def test_a_scenario_by_hand_needs_acts_alone(tmp_path: Path) -> None:
    text = (
        "scenario: somebody opens the hood\nuntil: 2 s\ntimes: earliest\n"
        "happens:\n  - {at: 100 ms, act: request presses}\n  - {at: 240 ms, act: hood opens}\n"
    )
    sequence = read_sequence(CLAMP)
    scenario = read(text, tmp_path)
    assert scenario.times is Times.EARLIEST
    run = run_scenario(watched_scenario(sequence, ()).network, scenario, sequence)
    assert "hood opens" in [
        f"{part.edge.event.subject} {part.edge.event.action}" for part in run.schedule.happenings
    ]


def test_a_run_that_cannot_go_on_as_listed_says_when_and_why(tmp_path: Path) -> None:
    text = "scenario: a\nuntil: 2 s\ntimes: as listed\nhappens:\n  - {at: 5 ms, moves: knife out}\n"
    sequence = read_sequence(CLAMP)
    run = run_scenario(watched_scenario(sequence, ()).network, read(text, tmp_path), sequence)
    assert run.stop is RunStop.REFUSED
    assert run.note == "time 5 ms: this cannot happen now: moves knife out"


def test_rising_times_are_told_as_evenly_spaced_stretches() -> None:
    assert list(progressions((5, 10, 15, 17, 30))) == [(5, 5, 3), (17, 13, 2)]
