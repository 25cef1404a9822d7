"""Results are remembered by what they depend on, used only whole and of this very version, and by many programs at once."""

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from gate.workshop import PRESS, Workshop

from seqcheck.cli.gate_drawing import drawing_digests
from seqcheck.cli.output_file import write_output_bytes
from seqcheck.errors import UsageError
from seqcheck.gate import cache as cache_module
from seqcheck.gate import spread
from seqcheck.gate.cache import Cache, program_version
from seqcheck.gate.job import Job, run_job
from seqcheck.gate.result import SequenceResult
from seqcheck.gate.sources import Sources
from seqcheck.gate.spread import run_jobs

JOB = Job(sources=Sources("press.yaml", (("press.yaml", PRESS),)))


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache", write_output_bytes)


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every file that is really checked."""
    seen: list[str] = []

    def count(job: Job, draw: object) -> SequenceResult:
        seen.append(job.sources.file)
        return run_job(job, draw)  # type: ignore[arg-type]

    monkeypatch.setattr(spread, "run_job", count)
    return seen


def test_an_unchanged_file_is_not_checked_again(cache: Cache, counted: list[str]) -> None:
    first = run_jobs([JOB], drawing_digests, cache=cache)
    assert run_jobs([JOB], drawing_digests, cache=cache) == first
    assert counted == ["press.yaml"]


@pytest.mark.parametrize(
    "other",
    [
        Job(sources=Sources("press.yaml", (("press.yaml", PRESS + "# more\n"),))),
        Job(sources=Sources("other.yaml", (("other.yaml", PRESS),))),
        Job(sources=JOB.sources, most_classes=100_000),
    ],
)
def test_another_text_name_or_option_is_another_entry(cache: Cache, counted: list[str], other: Job) -> None:
    run_jobs([JOB, other], drawing_digests, cache=cache)
    assert len(counted) == 2


def test_another_version_is_not_trusted(cache: Cache, counted: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    run_jobs([JOB], drawing_digests, cache=cache)
    monkeypatch.setattr(spread, "program_version", lambda: "another")
    run_jobs([JOB], drawing_digests, cache=cache)
    assert len(counted) == 2


def test_the_version_is_that_of_the_program_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One changed letter in any source file is another version."""
    package = tmp_path / "seqcheck"
    shutil.copytree(cache_module.PACKAGE / "gate", package / "gate")
    monkeypatch.setattr(cache_module, "PACKAGE", package)
    program_version.cache_clear()
    before = program_version()
    (package / "gate/change.py").write_text("# other\n", encoding="utf-8")
    program_version.cache_clear()
    after = program_version()
    program_version.cache_clear()
    assert before != after


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: text[: len(text) // 2],
        lambda text: "",
        lambda text: "[" * 100_000,
        lambda text: text.replace('"holds"', '"violated"'),
        lambda text: json.dumps({**json.loads(text), "key": "0" * 64}),
        lambda text: "\x00\xff",
    ],
)
def test_a_damaged_entry_is_not_used(cache: Cache, counted: list[str], damage: Callable[[str], str]) -> None:
    (first,) = run_jobs([JOB], drawing_digests, cache=cache)
    (entry,) = cache.folder.rglob("*.json")
    damaged = damage(entry.read_text(encoding="utf-8"))
    entry.write_text(damaged, encoding="latin-1")
    assert run_jobs([JOB], drawing_digests, cache=cache) == (first,)
    assert len(counted) == 2
    assert run_jobs([JOB], drawing_digests, cache=cache) == (first,)
    assert len(counted) == 2


def test_a_full_disk_costs_the_memory_and_nothing_else(tmp_path: Path) -> None:
    def full(path: Path, data: bytes) -> None:
        raise UsageError(f"cannot write {path.name}: No space left on device")

    warnings: list[str] = []
    (found,) = run_jobs([JOB], drawing_digests, cache=Cache(tmp_path / "cache", full), warn=warnings)
    assert [judged.verdict for judged in found.requirements] == ["holds"] * 3
    assert "No space left on device" in warnings[0]


def test_a_result_that_depends_on_speed_is_not_kept(cache: Cache, counted: list[str]) -> None:
    hurried = Job(sources=JOB.sources, most_seconds=0.0)
    run_jobs([hurried, hurried], drawing_digests, cache=cache)
    assert len(counted) == 2


GATE = "import sys; from seqcheck.cli.main import run; sys.exit(run(sys.argv[1:]))"


def test_two_gates_at_once_come_to_the_same(workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both with an empty cache in common, and the same folder."""
    monkeypatch.setenv("SEQCHECK_CACHE", str(tmp_path / "shared"))
    both = [
        subprocess.Popen([sys.executable, "-c", GATE, "gate", "--jobs", "1", "--json", f"gate-{number}.json"], cwd=workshop.folder)
        for number in range(2)
    ]
    assert [process.wait(timeout=120) for process in both] == [0, 0]
    texts = {path.read_text(encoding="utf-8") for path in workshop.folder.glob("gate-*.json")}
    assert len(texts) == 1
    assert [path for path in (tmp_path / "shared").rglob("*") if path.is_file() and path.suffix != ".json"] == []
