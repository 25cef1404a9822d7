"""`seqcheck review`: where it writes, what it refuses, and that the same file gives the same bytes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from seqcheck.cli.main import run

CLAMP = Path(__file__).with_name("clamp.yaml")


def _copied(folder: Path) -> Path:
    file = folder / "clamp.yaml"
    file.write_text(CLAMP.read_text(encoding="utf-8"), encoding="utf-8")
    return file


def test_page_goes_beside_the_file_and_is_the_same_each_time(tmp_path: Path) -> None:
    file = _copied(tmp_path)
    code = run(["review", str(file), "--jobs", "1"])
    page = (tmp_path / "clamp.html").read_bytes()
    assert code == run(["review", str(file), "--jobs", "2", "--out", str(tmp_path / "again.html")])
    assert (tmp_path / "again.html").read_bytes() == page
    assert page.startswith(b"<!doctype html>")


def test_json_has_the_facts_of_the_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, page = _copied(tmp_path), tmp_path / "page.html"
    run(["review", str(file), "--jobs", "1", "--faults", "0", "--date", "2030-01-31", "--out", str(page), "--json", "-"])
    facts = json.loads(capsys.readouterr().out)
    assert facts["head"]["date"] == "2030-01-31"
    text = page.read_text(encoding="utf-8")
    assert facts["head"]["files"][0]["sha256"] in text
    assert all(f'id="req-{part["id"]}"' in text for part in facts["requirements"])


def test_page_never_replaces_the_sequence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = _copied(tmp_path)
    assert run(["review", str(file), "--out", str(file)]) == 2
    assert "--out: the page goes into a file of its own" in capsys.readouterr().err
    assert file.read_text(encoding="utf-8").startswith(CLAMP.read_text(encoding="utf-8")[:20])


def test_folder_that_is_not_there_is_said_before_the_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["review", str(CLAMP), "--out", str(tmp_path / "no" / "page.html")]) == 2
    assert "there is no folder" in capsys.readouterr().err
