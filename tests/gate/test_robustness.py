"""Whatever goes wrong: a clear sentence, the right exit code, nothing half-written, nothing lost, no traceback."""

import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from gate.workshop import PRESS, Workshop

from seqcheck.cli import output_file
from seqcheck.cli.main import run
from seqcheck.gate import job

MIB = 1_048_576

HOSTILE: dict[str, bytes] = {
    "broken YAML": b"sequence: [\n",
    "empty": b"",
    "alias bomb": b"a: &a [x, x, x, x]\n" + b"".join(
        b"%c: &%c [*%c, *%c, *%c, *%c]\n" % (c, c, c - 1, c - 1, c - 1, c - 1) for c in range(ord("b"), ord("z"))
    ),
    "deep lists": b"sequence: " + b"[" * 50_000 + b"]" * 50_000,
    "deep maps": b"sequence: " + b"{a: " * 50_000,
    "deep blocks": b"".join(b" " * depth + b"a:\n" for depth in range(400)),
    "a megabyte name": b"sequence: x\ndevices:\n  " + b"d" * (MIB - 100) + b": {type: guard}\n",
    "a very long name": b"sequence: x\ndevices:\n  " + b"d" * 5_000 + b": {type: gaurd}\ncharts: {a: {b: {initial: true}}}\n",
    "a deep condition": PRESS.replace("press_request AND", "NOT " * 900 + "press_request AND").encode(),
    "a long condition": PRESS.replace("press_request AND", "press_request AND " * 400).encode(),
    "two megabytes": b"# " + b"x" * (2 * MIB),
    "not UTF-8": PRESS.encode().replace(b"Trial press", b"Tri\xe4l"),
    "UTF-16": PRESS.encode("utf-16"),
    "zero bytes": b"\x00" * 100,
    "a tag that would make an object": b"sequence: !!python/object/apply:os.system [id]\n",
    "a huge number": PRESS.replace("120..250 ms", "1" * 4_000 + "..250 ms").encode(),
    "a base that is itself": b"base: press.yaml\n",
    "a base far away": b"base: ../../../../../../etc/passwd\n",
    "a base that is no file": b"base: .\n",
    "many documents": b"---\na: 1\n" * 1_000,
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_bad_input(workshop: Workshop, capsys: pytest.CaptureFixture[str], name: str) -> None:
    (workshop.folder / "sequences/press.yaml").write_bytes(HOSTILE[name])
    started_s = time.monotonic()
    assert workshop.gate("--json", "gate.json") == 2
    assert time.monotonic() - started_s < 20
    said = capsys.readouterr()
    assert "unreadable" in said.out
    assert "unexpected error" not in said.err
    assert (workshop.folder / "gate.json").is_file()


@pytest.mark.parametrize("name", ["broken YAML", "not UTF-8", "alias bomb"])
def test_a_hostile_base_only_means_that_all_is_new(
    workshop: Workshop, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    (workshop.folder / "sequences/press.yaml").write_bytes(HOSTILE[name])
    workshop.commit("hostile")
    workshop.write("sequences/press.yaml", PRESS)
    assert workshop.gate() == 0
    assert "sequences/press.yaml of the base cannot be used, so all of it counts as new" in capsys.readouterr().err


def test_other_files_are_judged_beside_one_that_cannot_be_used(
    workshop: Workshop, capsys: pytest.CaptureFixture[str]
) -> None:
    workshop.write("sequences/bad.yaml", "sequence: [")
    workshop.edit("within: 1 s", "within: 2 s")
    assert workshop.gate() == 2
    assert "weakened" in capsys.readouterr().out


@pytest.mark.parametrize("target", ["loop.yaml", "sequences", "nowhere.yaml", "/dev/zero", "/proc/self/mem"])
def test_a_link_that_leads_to_no_file_is_bad_input(workshop: Workshop, target: str) -> None:
    (workshop.folder / "sequences/loop.yaml").symlink_to(target)
    assert workshop.gate() == 2


def test_a_loop_of_folders_ends(workshop: Workshop) -> None:
    (workshop.folder / "sequences/again").symlink_to(workshop.folder / "sequences")
    assert workshop.gate() == 0


def refused(workshop: Workshop, capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert workshop.gate(*arguments) == 2
    return capsys.readouterr().err


def test_an_unknown_base_is_named(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    assert refused(workshop, capsys, "--base", "v0") == "seqcheck: git knows no revision 'v0'\n"
    assert "no revision '--upload-pack=touch x'" in refused(workshop, capsys, "--base=--upload-pack=touch x")


def test_no_main_branch_says_what_to_do(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    workshop.git("branch", "--move", "main", "trunk")
    assert "name it with --main, or a base with --base" in refused(workshop, capsys)
    assert workshop.gate("--main", "trunk") == 0


def test_a_detached_head_has_a_merge_base_too(workshop: Workshop) -> None:
    workshop.edit("within: 1 s", "within: 2 s")
    workshop.git("switch", "--quiet", "--create", "topic")
    workshop.commit()
    workshop.git("checkout", "--quiet", "--detach")
    assert workshop.gate() == 1


def test_a_shallow_clone_says_what_to_fetch(
    workshop: Workshop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    workshop.git("switch", "--quiet", "--create", "topic")
    workshop.edit("revision: 1", "revision: 2")
    workshop.commit()
    workshop.git("switch", "--quiet", "main")
    clone = workshop.folder.parent / "clone"
    workshop.git("clone", "--quiet", "--depth", "1", "--branch", "topic", workshop.folder.as_uri(), str(clone))
    monkeypatch.chdir(clone)
    said = refused(Workshop(clone), capsys)
    assert "this clone is shallow: fetch its history first (git fetch --unshallow" in said


def test_branches_without_a_common_commit_say_so(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    workshop.git("switch", "--quiet", "--orphan", "other")
    workshop.write("sequences/press.yaml", PRESS)
    workshop.commit()
    assert "HEAD and main have no common commit here; name a base with --base" in refused(workshop, capsys)


def test_a_repository_without_a_commit_has_no_base(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, workshop: Workshop, capsys: pytest.CaptureFixture[str]
) -> None:
    empty = Workshop(tmp_path / "empty")
    empty.folder.mkdir()
    empty.git("init", "--quiet")
    monkeypatch.chdir(empty.folder)
    assert "no commit yet" in refused(empty, capsys)


def test_a_folder_without_a_repository_needs_a_saved_result(
    workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert workshop.gate("--json", "base.json") == 0
    bare = Workshop(tmp_path / "bare")
    bare.write("sequences/press.yaml", PRESS)
    bare.write("base.json", (workshop.folder / "base.json").read_text(encoding="utf-8"))
    monkeypatch.chdir(bare.folder)
    assert "not a git repository" in refused(bare, capsys)
    assert bare.gate("--base-result", "base.json") == 0


def test_no_git_says_so(workshop: Workshop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(workshop.folder))
    assert "the program git is needed for a base" in refused(workshop, capsys)


def test_nothing_to_judge_says_so(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    (workshop.folder / "empty").mkdir()
    assert "nothing to judge" in refused(workshop, capsys, "empty")


def test_a_missing_file_that_the_base_does_not_know_is_bad_input(workshop: Workshop) -> None:
    assert workshop.gate("sequences/pres.yaml") == 2


def test_it_runs_from_a_folder_below(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    workshop.edit("within: 1 s", "within: 2 s")
    monkeypatch.chdir(workshop.folder / "sequences")
    assert workshop.gate("press.yaml") == 1
    assert workshop.gate(".") == 1
    assert workshop.gate("*.yaml") == 1


# -- writing -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("option", ["--junit", "--sarif", "--markdown", "--json"])
def test_a_full_disk_leaves_the_old_report(
    workshop: Workshop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, option: str
) -> None:
    workshop.write("report", "the one before")
    write = os.fdopen

    def full(*arguments: object, **options: object) -> object:
        file = write(*arguments, **options)  # type: ignore[call-overload]
        file.write(b"half of ")
        file.close()
        raise OSError(28, "No space left on device")

    assert workshop.gate() == 0
    monkeypatch.setattr(output_file.os, "fdopen", full)
    capsys.readouterr()
    assert workshop.gate(option, "report") == 2
    assert "cannot write report: No space left on device" in capsys.readouterr().err
    assert (workshop.folder / "report").read_text(encoding="utf-8") == "the one before"
    assert sorted(path.name for path in workshop.folder.iterdir()) == [".git", "report", "sequences"]


def test_a_report_that_cannot_be_written_is_refused_before_any_work(
    workshop: Workshop, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "there is no folder nowhere" in refused(workshop, capsys, "--sarif", "nowhere/gate.sarif")


def in_own_process(workshop: Workshop, *arguments: str, start: Callable[[], None] | None = None) -> subprocess.Popen[str]:
    program = [sys.executable, "-c", "from seqcheck.cli.main import main; main()", "gate", *arguments]
    return subprocess.Popen(
        program, cwd=workshop.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=start
    )


def test_a_disk_with_a_limit_leaves_no_part_of_a_file(workshop: Workshop) -> None:
    """The system itself refuses to let files grow beyond 2000 bytes: a real failing write, of reports and of the cache."""

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (2_000, 2_000))

    process = in_own_process(workshop, "--jobs", "1", "--cache", "memory", "--json", "gate.json", start=limit)
    out, err = process.communicate(timeout=120)
    assert process.returncode == 2, (out, err)
    assert "cannot write gate.json: File too large" in err
    assert "Traceback" not in err
    assert [path for path in workshop.folder.rglob("*.json*") if ".git" not in path.parts] == []


@pytest.mark.parametrize("wait_s", [0.4, 0.8, 1.2])
def test_killed_half_way_leaves_whole_files_only(workshop: Workshop, tmp_path: Path, wait_s: float) -> None:
    """Whatever is there afterwards can be used, and the next gate comes to its end."""
    workshop.edit("revision: 1", "revision: 2")
    process = in_own_process(workshop, "--jobs", "1", "--cache", "memory", "--json", "gate.json")
    time.sleep(wait_s)
    process.kill()
    process.communicate()
    assert workshop.gate("--cache", "memory", "--json", "gate.json") == 0
    assert (workshop.folder / "gate.json").read_text(encoding="utf-8").endswith("}\n")


def test_an_interrupted_check_ends_in_words_and_writes_nothing(
    workshop: Workshop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An interrupted exploration gives a result that says so; half a result must not be judged."""
    check = job.check_sequence
    monkeypatch.setattr(job, "check_sequence", lambda *given: replace(check(*given), stopped="it was interrupted"))
    assert workshop.gate("--no-cache", "--json", "gate.json") == 130
    assert capsys.readouterr().err == "seqcheck: interrupted\n"
    assert not (workshop.folder / "gate.json").exists()


def test_a_pattern_that_is_none_is_refused(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    assert "the pattern 'a**b/*.yaml' cannot be used" in refused(workshop, capsys, "a**b/*.yaml")


def test_check_refuses_the_same_files(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    for name, content in HOSTILE.items():
        if name == "a base that is itself":
            continue
        (workshop.folder / "hostile.yaml").write_bytes(content)
        capsys.readouterr()
        assert run(["check", "hostile.yaml", "--jobs", "1", "--examples", "0"]) == 2, name
        assert "unexpected error" not in capsys.readouterr().err, name
