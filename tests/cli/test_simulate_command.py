"""`seqcheck simulate`: acts, failures, times, and the files it writes."""

import json
from pathlib import Path

import pytest
from cli.printed import printed_by

from seqcheck.cli.main import run

FLAGSHIP = str(Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml")
CLAMP = str(Path(__file__).with_name("clamp.yaml"))


def test_the_same_seed_gives_the_same_run_and_another_one_another() -> None:
    first, again, other = (
        printed_by("simulate", "clamp.yaml", "--times", "random", "--seed", seed, "--act", "1s:request.presses")
        for seed in ("1", "1", "2")
    )
    assert first == again
    assert first != other


def test_latest_times_come_later_than_earliest() -> None:
    earliest, latest = (
        printed_by("simulate", "clamp.yaml", "--times", times, "--act", "1s:request.presses")
        for times in ("earliest", "latest")
    )
    assert "\n1.12 s " in earliest  # out after 120 ms at the earliest, with a read and a write at 1 s
    assert "\n1.12 s " not in latest


def test_an_act_that_is_not_possible_then_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["simulate", CLAMP, "--act", "1s:request.releases", "--until", "2 s"]) == 1
    assert "Not possible then: request releases at 1 s" in capsys.readouterr().out


def test_csv_and_value_change_dump_are_written(tmp_path: Path) -> None:
    csv, vcd = tmp_path / "run.csv", tmp_path / "run.vcd"
    assert run(["simulate", CLAMP, "--csv", str(csv), "--vcd", str(vcd), "--act", "1s:request.presses"]) == 0
    assert csv.read_text(encoding="utf-8").splitlines()[2].startswith("1000000,request presses,")
    assert "$timescale 1 us $end" in vcd.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--act", "1s:request.press"), "--act: the sequence has no 'request.press'; did you mean request.presses?"),
        (("--fault", "1s:clamp.jam"), "--fault: the sequence has no 'clamp.jam'; did you mean clamp.jams?"),
        (("--act", "request.presses"), "--act: expected TIME:DEVICE.WORD such as '1s:request.presses'"),
        (("--act", "soon:request.presses"), "--act: expected a time such as '250 ms', found 'soon'"),
        (("--until", "5"), "--until: expected a time such as '250 ms', found '5'"),
    ],
)
def test_a_mistake_on_the_command_line_is_one_sentence(
    arguments: tuple[str, ...], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["simulate", CLAMP, *arguments]) == 2
    printed = capsys.readouterr()
    assert printed.err.startswith(f"seqcheck: {sentence}")
    assert printed.err.count("\n") == 1
    assert printed.out == ""


def test_all_mistakes_in_acts_and_failures_are_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    wrong = ("--act", "1s:request.press", "--act", "soon:request.presses", "--fault", "1s:clamp.jam")
    assert run(["simulate", CLAMP, *wrong]) == 2
    told = capsys.readouterr().err
    assert "did you mean request.presses?" in told
    assert "found 'soon'" in told
    assert "did you mean clamp.jams?" in told


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--chart", "run.pdf"), "--chart: expected a name that ends in .svg or .png, found 'run.pdf'"),
        (("--sample", "0s"), "--sample: expected a time longer than zero"),
        (("--cycle", "a..b"), "--cycle and --json go with --runs"),
        (("--diameter", "1 m"), "--diameter: this file does not give a roll and the caliper of its web"),
        (("--runs", "5"), "--cycle: this file has no step that fills or empties an accumulator; say which cycle"),
        (("--runs", "5", "--csv", "a.csv"), "--runs: --csv would be for one run only"),
    ],
)
def test_options_that_do_not_go_together_are_told(
    arguments: tuple[str, ...], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["simulate", CLAMP, *arguments]) == 2
    assert sentence in capsys.readouterr().err


def test_a_cycle_is_run_many_times_and_its_spread_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "runs.json"
    code = run(["simulate", FLAGSHIP, "--runs", "40", "--jobs", "1", "--json", str(path)])
    told, data = capsys.readouterr().out, json.loads(path.read_text(encoding="utf-8"))
    assert code == data["exit_code"] == 0
    assert [part["quantity"] for part in data["distributions"]] == [
        "cycle time",
        "least accumulator content",
        "peak web tension",
    ]
    assert all(part["count"] == 40 and sum(bin_["count"] for bin_ in part["bins"]) == 40 for part in data["distributions"])
    assert told.count("<- proven worst") == 3


def test_a_timing_chart_and_curves_are_written(tmp_path: Path) -> None:
    chart, csv, vcd = tmp_path / "run.svg", tmp_path / "run.csv", tmp_path / "run.vcd"
    files = ("--chart", str(chart), "--csv", str(csv), "--vcd", str(vcd))
    assert run(["simulate", FLAGSHIP, "--until", "4s", "--act", "1s:fault_reset.presses", *files]) == 0
    assert chart.read_text(encoding="utf-8").startswith("<?xml")
    assert "accumulator content" not in csv.read_text(encoding="utf-8").splitlines()[0]
    assert "content [m]" in csv.read_text(encoding="utf-8").splitlines()[0]
    assert "$var real 64" in vcd.read_text(encoding="utf-8")
