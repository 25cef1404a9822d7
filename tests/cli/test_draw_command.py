"""`seqcheck draw`: which files it writes."""

from pathlib import Path

import pytest

from seqcheck.cli.drawing import drawing_texts
from seqcheck.cli.main import run
from seqcheck.diagrams.diagram import Diagram

CLAMP = str(Path(__file__).with_name("clamp.yaml"))


def test_each_chart_and_the_plant_as_svg_and_dot(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    into = tmp_path / "new" / "drawings"
    assert run(["draw", CLAMP, "--into", str(into)]) == 0
    drawn = [f"clamp.{name}.{form}" for name in ("plant", "interlocks", "splice") for form in ("dot", "svg")]
    names = sorted([*drawn, "clamp.timing.svg"])
    assert sorted(path.name for path in into.iterdir()) == names
    assert "<svg" in (into / "clamp.splice.svg").read_text(encoding="utf-8")
    assert sorted(capsys.readouterr().out.splitlines()) == [str(into / name) for name in names]


def test_a_chart_called_plant_does_not_hide_the_plant() -> None:
    dot = 'digraph "a" {a}'
    drawn = (Diagram(name="plant chart", kind="chart", dot=dot), Diagram(name="plant", kind="plant", dot=dot))
    assert sorted(drawing_texts("f", drawn)) == ["f.plant.dot", "f.plant.svg", "f.plant_chart.dot", "f.plant_chart.svg"]


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert run(["draw", CLAMP, "--into", str(tmp_path / "file" / "in")]) == 2
    assert capsys.readouterr().err.startswith("seqcheck: cannot make the folder")
