"""`seqcheck simulate`: acts, failures, times, and the files it writes."""

from pathlib import Path

import pytest
from cli.printed import printed_by

from seqcheck.cli.main import run

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
    assert run(["simulate", CLAMP, "--act", "1s:request.releases", "--until", "2 s"]) == 0
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
