"""`seqcheck replay`: recordings that keep to a sequence, that leave it at a known moment, and that cannot be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.cli.interventions import script_of
from seqcheck.cli.main import run
from seqcheck.language.sequence import Sequence
from seqcheck.plc.recording_map import RecordingForm, RecordingMap
from seqcheck.plc.replay_recording import replay_recording
from seqcheck.plc.replayed import Fit, Replayed, Side
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest
from seqcheck.simulate.recording import csv_text, event_table
from seqcheck.simulate.sequence_run import SequenceRun, network_of, simulate_sequence
from seqcheck.simulate.value_change_dump import value_change_dump

ROOT = Path(__file__).resolve().parents[2]
CLAMP = ROOT / "tests" / "cli" / "clamp.yaml"
BUNDLED = sorted((ROOT / "sequences").glob("*.yaml"))
HEADER = "time_us,clamp_close,clamp_closed,clamp_open,hood_closed,splice_request,splice"
CYCLE = (
    "0,0,0,1,1,0,ready",
    "1000000,0,0,1,1,1,ready",
    "1006000,0,0,1,1,1,clamping",
    "1008000,1,0,0,1,1,clamping",
    "1050000,1,0,0,1,0,clamping",
    "1158000,1,1,0,1,0,clamping",
    "1163000,1,1,0,1,0,opening",
    "1164000,0,0,0,1,0,opening",
    "1294000,0,0,1,1,0,opening",
    "1300000,0,0,1,1,0,ready",
    "2000000,0,0,1,1,0,ready",
)
"""One cycle written by hand; scans of 4 to 10 ms, the clamp out in 150 ms and back in 130 ms."""


def simulated(sequence: Sequence, chooser: Chooser, seconds: int) -> SequenceRun:
    return simulate_sequence(sequence, chooser, until_us=seconds * 1_000_000)


def replayed_csv(sequence: Sequence, text: str, folder: Path, mapping: RecordingMap | None = None) -> Replayed:
    path = folder / "log.csv"
    path.write_text(text, encoding="utf-8")
    return replay_recording(sequence, path, mapping or RecordingMap())


def log(*rows: str) -> str:
    return "\n".join((HEADER, *rows, ""))


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_simulated_runs_with_random_acts_replay_clean(path: Path, tmp_path: Path) -> None:
    sequence = read_sequence(path)
    done = simulated(sequence, Seeded(seed=1, act_gap_us=(200_000, 3_000_000)), 30)
    found = replayed_csv(sequence, csv_text(event_table(done.network, done.run.schedule), done.run.motion), tmp_path)
    assert found.deviations == ()
    assert not found.is_uncertain
    dump = tmp_path / "log.vcd"
    dump.write_text(value_change_dump(done.network, done.run.schedule, done.run.end_us), encoding="utf-8")
    assert replay_recording(sequence, dump, RecordingMap()).deviations == ()


def test_a_jammed_clamp_is_located_on_the_machine_and_its_alarm_told(tmp_path: Path) -> None:
    sequence = read_sequence(CLAMP)
    script = script_of(["1s:request.presses", "1050ms:request.releases"], ["1100ms:clamp.jams"], network_of(sequence))
    done = simulated(sequence, Scripted(earliest(), script), 3)
    found = replayed_csv(sequence, csv_text(event_table(done.network, done.run.schedule)), tmp_path)
    assert found.first is not None
    assert (found.first.side, found.first.subject, found.first.time_us) == (Side.MACHINE, "clamp", 1_250_000)
    assert "clamp.jams" in found.first.because[0]
    assert all(part.side is Side.MACHINE for part in found.deviations)
    assert [(part.name, part.is_raised) for part in found.alarms] == [("clamp_late", True)]


def test_a_cycle_by_hand_is_measured(tmp_path: Path) -> None:
    found = replayed_csv(read_sequence(CLAMP), log(*CYCLE), tmp_path)
    assert found.deviations == ()
    times = {part.subject: (part.count, part.shortest_us, part.longest_us) for part in found.measured}
    assert times == {"clamp.out": (1, 150_000, 150_000), "clamp.back": (1, 130_000, 130_000)}


FLIPPED = [
    (2, "1006000,0,0,1,1,1,ready", 1_010_000, "clamping"),
    (4, "1050000,0,0,0,1,0,clamping", 1_050_000, "clamp_close"),
    (6, "1163000,1,1,0,1,0,ready", 1_163_000, "ready"),
    (9, "1300000,0,0,1,1,0,clamping", 1_300_000, "clamping"),
]


@pytest.mark.parametrize(("row", "text", "time_us", "word"), FLIPPED)
def test_one_wrong_value_of_the_controller_is_located(
    row: int, text: str, time_us: int, word: str, tmp_path: Path
) -> None:
    rows = [*CYCLE]
    rows[row] = text
    if row == 2:  # the request is never answered
        rows = [*CYCLE[:2], "1020000,0,0,1,1,0,ready"]
    found = replayed_csv(read_sequence(CLAMP), log(*rows), tmp_path).first
    assert found is not None
    assert (found.side, found.time_us) == (Side.CONTROLLER, time_us)
    assert word in found.expected + found.found


def test_an_action_that_comes_too_late_is_located_at_its_latest_time(tmp_path: Path) -> None:
    rows = [*CYCLE]
    rows[3] = "1011000,1,0,0,1,1,clamping"  # 5 ms after the read is later than the 4 ms that a write may take
    found = replayed_csv(read_sequence(CLAMP), log(*rows), tmp_path).first
    assert found is not None
    assert (found.side, found.time_us) == (Side.CONTROLLER, 1_010_000)


def test_a_slow_clamp_is_located_when_it_is_overdue_and_makes_the_range_too_narrow(tmp_path: Path) -> None:
    rows = [*CYCLE[:8], "1434000,0,0,1,1,0,opening", "1440000,0,0,1,1,0,ready"]
    found = replayed_csv(read_sequence(CLAMP), log(*rows), tmp_path)
    assert found.first is not None
    assert (found.first.side, found.first.subject, found.first.time_us) == (Side.MACHINE, "clamp", 1_384_000)
    assert {part.subject: part.fit for part in found.measured}["clamp.back"] is Fit.TOO_NARROW


def test_a_request_is_followed_without_recorded_steps(tmp_path: Path) -> None:
    text = "\n".join(line.rpartition(",")[0] for line in log(*CYCLE).splitlines()) + "\n"
    found = replayed_csv(read_sequence(CLAMP), text, tmp_path)
    assert found.deviations == ()
    assert any("steps not recorded" in sentence for sentence in found.not_judged)
    late = text.replace("1008000,1,0,0,1,1", "1040000,1,0,0,1,1")
    first = replayed_csv(read_sequence(CLAMP), late, tmp_path).first
    assert first is not None
    assert (first.side, first.time_us) == (Side.CONTROLLER, 1_014_000)


def sampled(period_us: int) -> str:
    """The cycle as samples."""
    rows = [(int(time), rest) for time, _, rest in (row.partition(",") for row in CYCLE)]
    lines = []
    for time_us in range(0, 2_000_001, period_us):
        lines.append(f"{time_us},{[rest for at_us, rest in rows if at_us <= time_us][-1]}")
    return log(*lines)


def test_samples_are_recognised_and_bound_the_times(tmp_path: Path) -> None:
    found = replayed_csv(read_sequence(CLAMP), sampled(20_000), tmp_path)
    assert found.is_sampled
    assert found.deviations == ()
    out = next(part for part in found.measured if part.subject == "clamp.out")
    assert (out.shortest_us, out.longest_us) == (120_000, 160_000)


@pytest.mark.parametrize("seed", range(5))
def test_clock_jitter_within_the_tolerance_is_no_deviation(seed: int, tmp_path: Path) -> None:
    from random import Random

    draw, last, rows = Random(seed), 0, []
    for row in CYCLE:
        time, _, rest = row.partition(",")
        last = max(last, int(time) + draw.randint(-1000, 1000), 0)
        rows.append(f"{last},{rest}")
    mapping = RecordingMap(jitter_us=1000, form=RecordingForm.CHANGES)
    assert replayed_csv(read_sequence(CLAMP), log(*rows), tmp_path, mapping).deviations == ()


HOSTILE = [
    (b"", ":1:1: "),
    (b"\0\0", ":1:1: "),
    (HEADER.encode() + b"\n0,0,\0", ":2:5: "),
    (HEADER.encode() + b"\n0,0,\xff,1,1,0,ready\n", ":2:5: "),
    (HEADER.encode() + b"\n" + b"9" * 200_000, ":2:1: "),
    (log(CYCLE[1], CYCLE[0]).encode(), ":3:1: "),
    (b"a,b\n1,2\n", ":1:1: "),
    (b"time_us,a,b\n1,2,3\n", ":1:1: "),
    (HEADER.encode() + b"\n0,0,0\n", ":2:1: "),
    (HEADER.encode() + b"\nnan,0,0,1,1,0,ready\n", ":2:1: "),
    (HEADER.encode() + b"\n0,0,0,1,1,0,nowhere\n", ":2:13: "),
    (HEADER.encode() + b"\n0,0,0,1,1,0,\"ready\n", ":2:1: "),
]


@pytest.mark.parametrize(("content", "place"), HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize("name", ["log.csv"])
def test_a_hostile_recording_is_a_problem_with_its_place(
    content: bytes, place: str, name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    assert run(["replay", str(CLAMP), str(path)]) == 2
    told = capsys.readouterr().err
    assert f"{path}{place}expected " in told
    assert "unexpected error" not in told


@pytest.mark.parametrize(
    "text", ["", "$var", "#0", "$var wire 1 ! x $end $enddefinitions $end", "$timescale 3 us $end", "$enddefinitions $end #5 #4"]
)
def test_a_broken_dump_is_a_problem_with_its_place(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "log.vcd"
    path.write_text(text, encoding="utf-8")
    assert run(["replay", str(CLAMP), str(path)]) == 2
    assert f"{path}:1:" in capsys.readouterr().err


def test_ranges_are_suggested_and_changed_only_when_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [*CYCLE[:8], "1434000,0,0,1,1,0,opening", "1440000,0,0,1,1,0,ready"]
    path, file = tmp_path / "log.csv", tmp_path / "clamp.yaml"
    path.write_text(log(*rows), encoding="utf-8")
    before = CLAMP.read_bytes()
    file.write_bytes(before)
    assert run(["replay", str(file), str(path), "--suggest"]) == 1
    assert "+  clamp: {type: cylinder, out: 120..250 ms, back: 243 ms..298 ms, output" in capsys.readouterr().out
    assert file.read_bytes() == before
    run(["replay", str(file), str(path), "--apply"])
    assert file.read_bytes() == before.replace(b"back: 100..220 ms", b"back: 243 ms..298 ms")


def test_columns_are_mapped_by_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log(*CYCLE).replace(",clamp_open,", ",DI 3.2,").replace("time_us", "when"), encoding="utf-8")
    options = ["--map", "clamp_open=DI 3.2", "--time", "when", "--unit", "us"]
    assert run(["replay", str(CLAMP), str(path), *options]) == 0
    assert run(["replay", str(CLAMP), str(path), *options[2:], "--map", "clamp_open=DI 32"]) == 2
    assert "did you mean DI 3.2?" in capsys.readouterr().err
