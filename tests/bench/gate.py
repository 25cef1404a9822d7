"""How many small sequences a gate judges a second, on one core, on two, on a local cluster; and what an unchanged file costs."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from bench.settings import FLAGSHIP, REPOSITORY, Settings
from bench.table import Table

from seqcheck.cli.gate_drawing import drawing_digests
from seqcheck.cli.output_file import write_output_bytes
from seqcheck.gate.cache import Cache, program_version
from seqcheck.gate.job import Job
from seqcheck.gate.sources import Sources, gather, read_from_disk
from seqcheck.gate.spread import run_jobs

SMALL = "tests/gate/press.yaml"
FILES, FILES_QUICK = 1_000, 60


def gate_tables(settings: Settings) -> tuple[Table, ...]:
    """Throughput, then the cost of a file that did not change."""
    jobs = generated(FILES_QUICK if settings.is_quick else FILES)
    return _throughput(jobs), _unchanged()


def generated(count: int) -> list[Job]:
    """Sequences that differ in the times of the press, so that none is another's result."""
    text = (REPOSITORY / SMALL).read_text(encoding="utf-8")
    return [_variant(text, number) for number in range(count)]


def _variant(text: str, number: int) -> Job:
    latest, earliest = 200 + number % 100, 80 + number // 100
    name = f"press_{number}.yaml"
    return Job(sources=Sources(name, ((name, text.replace("120..250 ms", f"{earliest}..{latest} ms")),)))


def _throughput(jobs: list[Job]) -> Table:
    rows = [_row("one core", jobs, None)]
    with ProcessPoolExecutor(max_workers=2) as executor:
        rows.append(_row("two cores", jobs, executor))
    with _cluster() as executor:
        rows.append(_row("local cluster of two workers", jobs, executor))
    return Table(
        name="gate",
        title=f"{len(jobs)} generated sequences with three requirements each, nothing remembered",
        columns=("where", "seconds", "files a second", "all hold"),
        rows=tuple(rows),
    )


def _row(where: str, jobs: list[Job], executor: Executor | None) -> tuple[str, float, float, str]:
    started_s = time.perf_counter()
    results = run_jobs(jobs, drawing_digests, executor=executor)
    took_s = time.perf_counter() - started_s
    all_hold = all(judged.verdict == "holds" for result in results for judged in result.requirements)
    return where, took_s, len(jobs) / took_s, "yes" if all_hold else "failed"


@contextmanager
def _cluster() -> Iterator[Executor]:
    import distributed

    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, processes=True) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client.get_executor()


def _unchanged() -> Table:
    with tempfile.TemporaryDirectory() as folder:
        cache = Cache(Path(folder), write_output_bytes)
        rows = [_unchanged_row(file, cache) for file in (SMALL, FLAGSHIP)]
    return Table(
        name="gate_unchanged",
        title="A file that did not change: read, looked up and taken from memory, best of 5",
        columns=("file", "milliseconds", "checked anew, milliseconds", "digest of the program, once a run, milliseconds"),
        rows=tuple(rows),
    )


def _unchanged_row(file: str, cache: Cache) -> tuple[str, float, float, float]:
    program_version.cache_clear()
    version_ms = _ms(program_version)
    anew_ms = _ms(lambda: _judge(file, cache))
    return file, min(_ms(lambda: _judge(file, cache)) for _ in range(5)), anew_ms, version_ms


def _judge(file: str, cache: Cache) -> None:
    run_jobs([Job(sources=gather(file, read_from_disk(REPOSITORY)))], drawing_digests, cache=cache)


def _ms(work: object) -> float:
    started_s = time.perf_counter()
    work()  # type: ignore[operator]
    return (time.perf_counter() - started_s) * 1_000
