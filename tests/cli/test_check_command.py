"""`seqcheck check`: exit codes, several files, JSON, limits, and what happens when things go wrong."""

import json
from pathlib import Path

import pytest

from seqcheck.cli import checking
from seqcheck.cli.main import run

CLAMP = str(Path(__file__).with_name("clamp.yaml"))
MISSPELT = "sequence: x\nscan: {period: 5 ms, write: 0 ms}\nchart: {}\n"


@pytest.fixture
def bad_file(tmp_path: Path) -> Path:
    path = tmp_path / "bad.yaml"
    path.write_text(MISSPELT, encoding="utf-8")
    return path


def check(*arguments: str) -> int:
    return run(["check", *arguments, "--jobs", "1"])


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("--only", "R1"), 0),
        (("--only", "R2"), 1),
        (("--only", "R6"), 1),
        (("--only", "R1", "--strict"), 1),
        (("--only", "R4"), 1),
        (("--only", "R4", "--faults", "0"), 0),
        (("--only", "R9"), 2),
        (("--faults", "3"), 2),
        (("--most-classes", "0"), 2),
        (("--nonsense",), 2),
    ],
)
def test_the_exit_code_says_the_worst_that_was_found(arguments: tuple[str, ...], code: int) -> None:
    assert check(CLAMP, *arguments) == code


@pytest.mark.parametrize("limit", [("--most-classes", "1"), ("--most-seconds", "0"), ("--most-memory", "1")])
def test_a_limit_reached_is_undecided_and_says_so(
    limit: tuple[str, str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A search looks at its limits now and then only; here after every class."""
    monkeypatch.setattr("seqcheck.explore.search.CHECK_EVERY", 1)
    assert check(CLAMP, "--only", "R1", *limit) == 3
    assert "[??] undecided" in capsys.readouterr().out


def test_every_file_is_checked_and_the_worst_code_counts(bad_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert check(str(bad_file), CLAMP, "--only", "R1") == 2
    printed = capsys.readouterr()
    assert "1 requirement: 1 holds." in printed.out
    assert f"{bad_file}:3:1: expected a section of a sequence file, found 'chart'; did you mean charts?" in printed.err
    assert "Traceback" not in printed.err


def test_a_file_that_is_not_there_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert check("nowhere.yaml") == 2
    assert capsys.readouterr().err.startswith("nowhere.yaml:1:1: expected a readable file")


def test_json_holds_every_file_with_the_same_exit_code(bad_file: Path, tmp_path: Path) -> None:
    path = tmp_path / "outcome.json"
    assert check(CLAMP, str(bad_file), "--only", "R2", "--json", str(path)) == 2
    document = json.loads(path.read_text(encoding="utf-8"))
    good, bad = document["outcomes"]
    assert (document["format"], document["exit_code"], good["exit_code"]) == (1, 2, 1)
    assert [part["verdict"] for part in good["requirements"]] == ["violated"]
    assert good["requirements"][0]["witness"]["events"][0]["what"] == "request presses"
    assert "charts" in [problem["nearest"] for problem in bad["problems"]]
    assert [part.name for part in tmp_path.iterdir() if part.name.startswith(".")] == []


def test_json_that_cannot_be_written_is_refused_before_the_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert check(CLAMP, "--json", str(tmp_path / "no" / "outcome.json")) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    folder = tmp_path / "no"
    assert printed.err == f"seqcheck: cannot write {folder / 'outcome.json'}: there is no folder {folder}\n"


def test_an_unexpected_error_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(checking, "check_both", _fails)
    assert check(CLAMP) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert "an unexpected error (ZeroDivisionError: of ours)" in error
    assert "please report it" in error


@pytest.mark.parametrize("arguments", [("--debug", "check", CLAMP), ("check", CLAMP, "--debug")])
def test_debug_shows_the_traceback(
    arguments: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(checking, "check_both", _fails)
    assert run(arguments) == 2
    assert "Traceback (most recent call last)" in capsys.readouterr().err


def _fails(*_: object) -> None:
    raise ZeroDivisionError("of ours")


def test_ctrl_c_before_anything_was_found_is_no_verdict(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(checking, "read_sequence", interrupted)
    assert check(CLAMP) == 130
    assert capsys.readouterr().err == "seqcheck: interrupted\n"


def test_ctrl_c_keeps_what_was_found_and_leaves_the_other_files(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("seqcheck.check.work.Worker.whole_with_paths", interrupted)
    assert check(CLAMP, "other.yaml", "--only", "R1") == 3
    printed = capsys.readouterr()
    assert "1 undecided. The check was stopped: it was interrupted." in printed.out
    assert "seqcheck: other.yaml was not checked" in printed.err
