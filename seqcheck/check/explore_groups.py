"""Spread explorations over processes: a small group is one task; of a large one the first failures are dealt out."""

from __future__ import annotations

import gc
import time
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass, field

from seqcheck.check.group import Group, group_monitors
from seqcheck.check.options import CheckOptions
from seqcheck.check.trap import Unasked, find_traps
from seqcheck.check.work import Wanted, Worker, wanted_paths
from seqcheck.explore.layers import Path, chunks
from seqcheck.explore.limits import StopReason
from seqcheck.explore.search import Seed, collector_paused
from seqcheck.explore.summary import Exploration, MonitorSummary
from seqcheck.language.sequence import Sequence

TASKS_A_PROCESS = 8
"""Tasks for each process that the failures of a large group are dealt out to; more even out their lengths."""

LARGE = 30_000
"""Classes that a group must be expected to have (those without failures times the first failures) to be dealt out."""

Seeds = dict[tuple[int, ...], tuple[Seed, ...]]


@dataclass(slots=True)
class Explored:
    """What is known of each group so far. Mutable; owned by one check. `paths` are those told while at hand."""

    explorations: dict[int, Exploration] = field(default_factory=dict)
    paths: dict[tuple[int, Wanted], Path] = field(default_factory=dict)
    finished: set[int] = field(default_factory=set)
    unasked: Unasked = ((), ())
    interrupted: bool = False

    def add(self, group: Group, found: Exploration) -> None:
        """Take in one task's result."""
        known = self.explorations.get(group.index)
        self.explorations[group.index] = found if known is None else known.merged(found)

    @property
    def classes(self) -> int:
        """Classes so far."""
        return sum(found.classes for found in self.explorations.values())


def explore_groups(sequence: Sequence, groups: tuple[Group, ...], options: CheckOptions) -> Explored:
    """Explore every group; Ctrl-C ends it with what was found so far."""
    explored = Explored()
    deadline = None if options.limits.seconds is None else time.monotonic() + options.limits.seconds
    try:
        if options.jobs > 1 and (len(groups) > 1 or any(group.hypothesis.count for group in groups)):
            _in_processes(sequence, groups, options, deadline, explored)
        else:
            with collector_paused():
                _here(sequence, groups, options, deadline, explored)
                if options.traps and not explored.interrupted:
                    explored.unasked = find_traps(sequence, options)
    except KeyboardInterrupt:
        explored.interrupted = True
    for group in groups:
        if group.index not in explored.finished:
            count = len(group_monitors(sequence, group))
            nothing = Exploration(summaries=tuple(MonitorSummary() for _ in range(count)))
            explored.add(group, nothing.stopped(StopReason.INTERRUPTED))
    return explored


def _here(
    sequence: Sequence, groups: tuple[Group, ...], options: CheckOptions, deadline: float | None, explored: Explored
) -> None:
    worker = Worker(sequence, options, deadline)
    for number, group in enumerate(groups):
        before = explored.classes

        def progress(classes: int, number: int = number, before: int = before) -> None:
            _report(options, number, len(groups), before + classes)

        worker.progress = progress
        found, paths = worker.whole_with_paths(group)
        explored.add(group, found)
        explored.paths.update({(group.index, wanted): path for wanted, path in paths.items()})
        if found.stop is StopReason.INTERRUPTED:
            explored.interrupted = True
            return
        explored.finished.add(group.index)


def _report(options: CheckOptions, done: int, total: int, classes: int) -> None:
    if options.report is not None:
        options.report("exploring", done, total, classes)


# -- processes -----------------------------------------------------------------------------------------------

_worker: Worker | None = None
"""The worker of this process; set once by `_start`, in worker processes only."""


def _start(sequence: Sequence, options: CheckOptions, deadline: float | None) -> None:
    global _worker
    gc.disable()  # a search keeps what it makes, and looking through it again and again costs a third of the time
    _worker = Worker(sequence, options, deadline)


@dataclass(frozen=True, slots=True)
class Result:
    """What a task found: classes and verdicts, paths it told, and seeds of jobs still to do."""

    found: Exploration
    paths: dict[Wanted, Path] = field(default_factory=dict)
    seeds: Seeds = field(default_factory=dict)


def _unasked() -> Unasked:
    assert _worker is not None
    return find_traps(_worker.sequence, _worker.options)


def _first(group: Group) -> Result:
    """The whole of a small group, or the layer without failures of a large one, with the seeds of its jobs."""
    assert _worker is not None
    found, seeds = _worker.base(group)
    if group.hypothesis.count <= 1 and found.classes * len(seeds) < LARGE:
        return Result(*_worker.whole_with_paths(group))
    return Result(found, {wanted: _worker.path(group, wanted) for wanted in wanted_paths(found)}, seeds)


def _jobs(group: Group, seeds: Seeds) -> Result:
    assert _worker is not None
    found: Exploration | None = None
    for failures, first in seeds.items():
        more = _worker.job(group, failures, first)
        found = more if found is None else found.merged(more)
    assert found is not None, "a task has at least one job"
    return Result(found, {wanted: _worker.path(group, wanted) for wanted in wanted_paths(found)})


@contextmanager
def _processes(sequence: Sequence, options: CheckOptions, deadline: float | None) -> Iterator[Executor]:
    plain = CheckOptions(
        only=options.only, faults=options.faults, limits=options.limits, reductions=options.reductions
    )
    pool = ProcessPoolExecutor(options.jobs, initializer=_start, initargs=(sequence, plain, deadline))
    try:
        yield pool
    except BaseException:
        for process in list((pool._processes or {}).values()):
            process.terminate()
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    pool.shutdown()


def _in_processes(
    sequence: Sequence, groups: tuple[Group, ...], options: CheckOptions, deadline: float | None, explored: Explored
) -> None:
    with _processes(sequence, options, deadline) as pool:
        tasks: dict[Future[Result], Group] = {}
        for group in groups:
            tasks[pool.submit(_first, group)] = group
        unasked = pool.submit(_unasked) if options.traps else None
        done = 0
        while tasks:
            future = next(as_completed(tasks))
            group, result = tasks.pop(future), future.result()
            explored.add(group, result.found)
            explored.paths.update({(group.index, wanted): path for wanted, path in result.paths.items()})
            for failures in chunks(sorted(result.seeds), options.jobs * TASKS_A_PROCESS):
                part = {failure: result.seeds[failure] for failure in failures}
                tasks[pool.submit(_jobs, group, part)] = group
            if group not in tasks.values():
                explored.finished.add(group.index)
            done += 1
            _report(options, done, done + len(tasks), explored.classes)
        if unasked is not None:
            explored.unasked = unasked.result()
