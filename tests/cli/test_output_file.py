"""A result is put down whole or not at all."""

from pathlib import Path

import pytest

from seqcheck.cli.output_file import write_output
from seqcheck.errors import UsageError


def test_lines_end_with_a_line_feed_on_every_system(tmp_path: Path) -> None:
    write_output(tmp_path / "a.txt", "ä\nb\n")
    assert (tmp_path / "a.txt").read_bytes() == "ä\nb\n".encode()


def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.txt").write_text("old", encoding="utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(UsageError, match=r"cannot write .*a\.txt: No space left on device"):
        write_output(tmp_path / "a.txt", "new")
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "old"


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="cannot write"):
        write_output(tmp_path, "new")


def test_a_dash_is_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    write_output(Path("-"), "text\n")
    assert capsys.readouterr().out == "text\n"
