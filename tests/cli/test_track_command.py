"""`seqcheck track`: what it prints and writes, and what it ends with. Counts: see tests/requirements/reject_file.py."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from requirements.reject_file import reject_file

from seqcheck.cli.main import run


@pytest.fixture
def gate_file(tmp_path: Path) -> Path:
    """The trial as a file."""
    path = tmp_path / "gate.yaml"
    path.write_text(reject_file(opens="9000 counts", closes="12000 counts"), encoding="utf-8")
    return path


def test_places_and_gate_are_shown_as_tables(gate_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["track", str(gate_file), "--jobs", "1"]) == 0
    printed = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert printed[0] == "R: holds, under no fault"
    assert "Counted by an encoder in the line, behind the accumulator, from the entry of its step on." in printed
    assert "Stored web when the count begins: 4.810 to 4.820 m (exact)." in printed
    assert "splice enters the accumulator 0 3928" in printed
    assert "splice leaves the accumulator 5798 5932" in printed
    assert "splice is at the gate 10788 10942" in printed
    assert "spoilt web is at the gate 10688 11243" in printed
    assert "open 9000 at most 10587 1587" in printed
    assert "close 12000 at least 11243 757" in printed
    assert "Caution" in printed


def test_json_says_the_same_counts(gate_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["track", str(gate_file), "--jobs", "1", "--json", "-"]) == 0
    document = json.loads(capsys.readouterr().out)
    (track,) = document["tracks"]
    assert document["exit_code"] == 0
    assert (track["requirement"], track["verdict"], track["encoder"]) == ("R", "holds", "line")
    assert track["spoilt_at_gate"] == [10688, 11243]
    assert track["leaves_accumulator"] == [5798, 5932]
    assert track["gate_opens"] == {"at": 9000.0, "at_most": 10587}
    assert track["gate_closes"] == {"at": 12000.0, "at_least": 11243}


def test_a_gate_that_opens_too_late_is_not_passed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "late.yaml"
    path.write_text(reject_file(opens="10588 counts"), encoding="utf-8")
    assert run(["track", str(path), "--jobs", "1"]) == 3
    assert "by bound: count at which the gate is told to open" in capsys.readouterr().out


def test_a_file_without_a_gate_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "none.yaml"
    text = reject_file()
    path.write_text(text[: text.index("requirements:")], encoding="utf-8")
    assert run(["track", str(path)]) == 2
    assert "has no requirement 'reject from', which says where the gate is" in capsys.readouterr().err
