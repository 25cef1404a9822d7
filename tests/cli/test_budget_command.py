"""`seqcheck budget`: what it prints, draws and writes, and what it ends with."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from check.budget_file import TrialTimes, trial_text
from requirements.test_take_up import rewinder

from seqcheck.cli.main import run


@pytest.fixture
def trial_file(tmp_path: Path) -> Path:
    """The trial as a file."""
    path = tmp_path / "trial.yaml"
    path.write_text(trial_text(TrialTimes()), encoding="utf-8")
    return path


def test_the_waterfall_names_each_step_with_its_web(trial_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["budget", str(trial_file), "--quick", "--jobs", "1"]) == 0
    printed = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert "[ok] The web lasts; 0.905 m are left at worst." in printed
    assert "c.stop 0 ms 1.31 s 0.810 m 1.905 m |############" in printed
    assert "c.start 1.31 s 2 s 1.000 m 0.905 m |............###############" in printed
    assert "left above reserve 0.905 m |...........................=============" in printed
    assert "Confirmed: the concrete simulator replayed this run." in printed
    assert "Caution" in printed


def test_limits_critical_path_and_curves_follow(trial_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["budget", str(trial_file), "--jobs", "1"]) == 0
    printed = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert "highest line speed 60.0 m/min 90.0 m/min 90.1 m/min" in printed
    assert "smallest stroke 1.500 m 1.000 m 0.999 m" in printed
    assert "fewest strands 10 7 6" in printed
    [dwell] = [line for line in printed if line.startswith("c: c.stop.T >= T#1300ms ")]
    assert dwell.endswith(" 1.3 s 905 ms 0.100 m")
    assert "60.0 m/min - 0.905 m yes" in printed


def test_an_accumulator_that_is_too_small_ends_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "small.yaml"
    path.write_text(trial_text(TrialTimes(), stroke_m=0.9), encoding="utf-8")
    assert run(["budget", str(path), "--quick", "--jobs", "1"]) == 1
    assert "[!!] The web does not last." in capsys.readouterr().out


def test_the_drawing_is_whole_svg_with_every_phase(trial_file: Path, tmp_path: Path) -> None:
    svg = tmp_path / "budget.svg"
    assert run(["budget", str(trial_file), "--quick", "--jobs", "1", "--svg", str(svg)]) == 0
    root = ElementTree.fromstring(svg.read_text(encoding="utf-8"))
    texts = [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]
    assert {"c.stop, 1.310 s", "c.start, 2.000 s", "left above reserve", "reserve, 2.715 m"} <= set(texts)


def test_at_a_rewind_it_speaks_of_room(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, svg = tmp_path / "rewind.yaml", tmp_path / "budget.svg"
    path.write_text(rewinder("1.5"), encoding="utf-8")
    assert run(["budget", str(path), "--jobs", "1", "--svg", str(svg)]) == 0
    out = capsys.readouterr().out
    printed = [" ".join(line.split()) for line in out.splitlines()]
    assert "[ok] The room lasts; 0.905 m are left at worst." in printed
    assert "c.stop 0 ms 1.31 s 0.810 m 1.905 m |############" in printed
    assert "room left below filled 0.905 m |...........................=============" in printed
    assert "To the running level 0.00 s, to the emptied level 9.05 s." in printed
    assert "highest line speed 60.0 m/min 90.0 m/min 90.1 m/min" in printed
    assert "web drawn" not in out
    texts = [element.text for element in ElementTree.parse(svg).getroot().iter("{http://www.w3.org/2000/svg}text")]
    assert {"c.stop, 1.310 s", "room left below filled", "filled, 2.715 m"} <= set(texts)


def test_json_says_the_same_numbers(trial_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["budget", str(trial_file), "--jobs", "1", "--json", "-"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["requirement"], told["holds"], told["exit_code"]) == ("R", True, 0)
    assert told["smallest_strands"] == {"holds_at": 7, "fails_at": 6}
    [draw] = told["draws"]
    assert draw["exact"] is True
    assert sum(phase["drawn_m"] for phase in draw["phases"]) == pytest.approx(draw["drawn_m"])


def test_a_file_without_the_requirement_is_told_so(capsys: pytest.CaptureFixture[str]) -> None:
    clamp = Path(__file__).with_name("clamp.yaml")
    assert run(["budget", str(clamp), "--quick"]) == 2
    assert "has no requirement 'accumulator: never below reserve' or 'take-up: never above filled'" in capsys.readouterr().err


def test_a_place_that_cannot_be_written_is_told_before_the_work(
    trial_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["budget", str(trial_file), "--svg", str(tmp_path / "none" / "b.svg")]) == 2
    assert capsys.readouterr().err.startswith("seqcheck: cannot write")
