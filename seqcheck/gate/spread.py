"""Spreads jobs over anything with the interface of `concurrent.futures.Executor`: processes here, or a cluster's.

What an executor has to do is `submit(function, *arguments)` and hand back a future with `result()`. The functions are those of a
module and all arguments are plain data, so any that can pickle will do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager

from seqcheck.errors import UsageError
from seqcheck.gate.cache import Cache, program_version
from seqcheck.gate.job import Draw, Job, run_job
from seqcheck.gate.result import SequenceResult


def run_jobs(
    jobs: Sequence[Job],
    draw: Draw,
    *,
    executor: Executor | None = None,
    cache: Cache | None = None,
    warn: list[str] | None = None,
) -> tuple[SequenceResult, ...]:
    """The results of `jobs`, in their order. With None as `executor` they run here, one after the other.

    Results are taken from `cache` where it has them, and kept there. What the cache cannot keep is no reason to stop: it is said in
    `warn`.

    Raises UsageError if a worker process dies, KeyboardInterrupt if somebody stopped a check: half a result is none.
    """
    keys = [job.key(program_version()) for job in jobs] if cache is not None else [""] * len(jobs)
    known = [cache.find(key) if cache is not None else None for key in keys]
    missing = [number for number, result in enumerate(known) if result is None]
    for number, result in zip(missing, _run([jobs[number] for number in missing], draw, executor), strict=True):
        if result.stopped:
            raise KeyboardInterrupt
        known[number] = result
        if cache is not None and not _depends_on_speed(jobs[number], result):
            _keep(cache, keys[number], result, warn)
    return tuple(result for result in known if result is not None)


def _run(jobs: list[Job], draw: Draw, executor: Executor | None) -> Iterator[SequenceResult]:
    if executor is None:
        yield from (run_job(job, draw) for job in jobs)
        return
    futures = [executor.submit(run_job, job, draw) for job in jobs]
    try:
        yield from (future.result() for future in futures)
    except BrokenProcessPool:
        raise UsageError("a worker process ended before its file was checked; there may not be enough memory") from None
    finally:
        for future in futures:
            future.cancel()


def _depends_on_speed(job: Job, result: SequenceResult) -> bool:
    """Whether a faster machine, or a user with more patience, might have had another result."""
    is_undecided = any(judged.verdict == "undecided" for judged in result.requirements)
    return job.most_seconds is not None and is_undecided


def _keep(cache: Cache, key: str, result: SequenceResult, warn: list[str] | None) -> None:
    try:
        cache.keep(key, result)
    except UsageError as error:
        if warn is not None and str(error) not in warn:
            warn.append(str(error))


@contextmanager
def local_processes(count: int, jobs: int) -> Iterator[Executor | None]:
    """An executor with up to `count` processes; None where one process is enough."""
    if min(count, jobs) < 2:
        yield None
        return
    with ProcessPoolExecutor(max_workers=min(count, jobs)) as executor:
        yield executor
