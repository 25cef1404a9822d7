"""`seqcheck simulate FILE --scenario PATH`: the run of a witness, with curves led along its times."""

from __future__ import annotations

import csv
from pathlib import Path
from xml.etree import ElementTree

import pytest
from requirements.test_take_up import rewinder

from seqcheck.cli.main import run


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    """A take-up with 1 % too little room, and the scenario of the run that breaks it."""
    path = tmp_path / "trial.yaml"
    path.write_text(rewinder("0.99"), encoding="utf-8")
    arguments = ["check", str(path), "--jobs", "1", "--examples", "0", "--witnesses", str(tmp_path / "runs")]
    assert run(arguments) == 1
    [scenario] = (tmp_path / "runs").glob("*.yaml")
    return str(path), str(scenario)


def test_the_run_of_a_witness_has_curves_in_csv_vcd_and_chart(files: tuple[str, str], tmp_path: Path) -> None:
    table, dump, chart = (tmp_path / name for name in ("run.csv", "run.vcd", "run.svg"))
    arguments = ["--csv", str(table), "--vcd", str(dump), "--chart", str(chart)]
    assert run(["simulate", files[0], "--scenario", files[1], *arguments]) == 1
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    contents = [float(row["content [m]"]) for row in rows if row["content [m]"]]
    # 1.81 m are taken up; 9.9 m hold 0.99 m when emptied. The rewind may stop from up to 0.21 m/s of overspeed, in 1 s: 0.105 m.
    assert 1.81 - 0.105 <= max(contents) - min(contents) <= 1.81 + 0.01
    assert "accumulator content" in dump.read_text(encoding="utf-8")
    assert ElementTree.parse(chart).getroot().tag == "{http://www.w3.org/2000/svg}svg"
    assert "content [m]" in chart.read_text(encoding="utf-8")


def test_a_chart_of_another_form_is_refused_before_the_run(
    files: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["simulate", files[0], "--scenario", files[1], "--chart", "run.pdf"]) == 2
    assert "expected a name that ends in .svg or .png" in capsys.readouterr().err
