"""Adequacy: every change of a sequence tried, over processes, with the fate of each in the order of the file."""

from __future__ import annotations

import gc
import multiprocessing
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass, field

from seqcheck.adequacy.change import Change, ChangeKind
from seqcheck.adequacy.changes import changes_of
from seqcheck.adequacy.coverage import Coverage, coverage_of
from seqcheck.adequacy.prepared import Prepared, prepare
from seqcheck.adequacy.trial import Notice
from seqcheck.adequacy.try_change import Fate, Tried, try_change
from seqcheck.explore.limits import Limits
from seqcheck.explore.search import collector_paused
from seqcheck.language.sequence import Sequence

Report = Callable[[str, int, int, int], None]
"""Progress: what is being done, parts done, parts in all, and 0."""

MOST_CLASSES = 15_000
"""Classes of a search for a changed sequence, in one layer, after which nothing more is expected of it."""

CHANGES_A_TASK = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class AdequacyOptions:
    """`kinds`: changes to try, empty for all. `every`: every n-th change only, a sample. `faults`: failures in a run, 0 or 1.

    `most_classes`: limit of each search in a changed sequence.
    """

    kinds: tuple[ChangeKind, ...] = ()
    every: int = 1
    faults: int = 1
    jobs: int = 1
    most_classes: int = MOST_CLASSES
    report: Report | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOutcome:
    """A change with its fate."""

    change: Change
    tried: Tried


@dataclass(frozen=True, slots=True, kw_only=True)
class Adequacy:
    """What all trials came to. `not_held`: requirements that do not hold in the first place, so that they notice nothing.

    `total`: changes there are; fewer outcomes if a sample was asked for or somebody stopped it (`is_interrupted`).
    """

    sequence: Sequence
    outcomes: tuple[ChangeOutcome, ...]
    total: int
    not_held: tuple[Notice, ...] = ()
    coverage: Coverage | None = None
    is_interrupted: bool = False

    def count(self, fate: Fate) -> int:
        """How many changes have this fate."""
        return sum(outcome.tried.fate is fate for outcome in self.outcomes)

    def of(self, fate: Fate) -> tuple[ChangeOutcome, ...]:
        """The changes with this fate."""
        return tuple(outcome for outcome in self.outcomes if outcome.tried.fate is fate)

    @property
    def score(self) -> float | None:
        """Share of the changes that are valid and not equivalent that a requirement notices; None if there is none."""
        return share(self.outcomes)


def share(outcomes: tuple[ChangeOutcome, ...]) -> float | None:
    """Noticed by noticed and unnoticed; None where there is neither."""
    noticed = sum(outcome.tried.fate is Fate.NOTICED for outcome in outcomes)
    missed = sum(outcome.tried.fate is Fate.UNNOTICED for outcome in outcomes)
    return noticed / (noticed + missed) if noticed + missed else None


@dataclass(slots=True)
class _Found:
    """Fates so far. Mutable, owned by one run."""

    tried: dict[int, Tried] = field(default_factory=dict)
    is_interrupted: bool = False


def adequacy_of(sequence: Sequence, options: AdequacyOptions | None = None) -> Adequacy:
    """Every change tried; Ctrl-C keeps what was found. The same whatever the number of processes."""
    options = options or AdequacyOptions()
    changes = changes_of(sequence, options.kinds)
    numbers = tuple(range(0, len(changes), options.every))
    found = _Found()
    prepared = None
    try:
        prepared = _prepared(sequence, changes, options)
        _try_all(prepared, changes, numbers, options, found)
    except KeyboardInterrupt:
        found.is_interrupted = True
    return Adequacy(
        sequence=sequence,
        outcomes=tuple(
            ChangeOutcome(change=changes[number], tried=tried) for number, tried in sorted(found.tried.items())
        ),
        total=len(changes),
        not_held=prepared.not_held if prepared is not None else (),
        coverage=coverage_of(sequence, tuple(prepared.locals.values())) if prepared is not None else None,
        is_interrupted=found.is_interrupted,
    )


def _prepared(sequence: Sequence, changes: tuple[Change, ...], options: AdequacyOptions) -> Prepared:
    def say(what: str) -> None:
        if options.report is not None:
            options.report(f"the sequence as it is: {what}", 0, len(changes), 0)

    with collector_paused():
        return prepare(
            sequence, changes, Limits(classes=options.most_classes), with_failures=options.faults > 0, say=say
        )


def _try_all(
    prepared: Prepared, changes: tuple[Change, ...], numbers: tuple[int, ...], options: AdequacyOptions, found: _Found
) -> None:
    tried = _in_processes if options.jobs > 1 and len(numbers) > 1 else _here
    for done in tried(prepared, changes, numbers, options.jobs):
        found.tried[done.number] = done
        if options.report is not None:
            options.report("changes", len(found.tried), len(numbers), 0)


def _here(
    prepared: Prepared, changes: tuple[Change, ...], numbers: tuple[int, ...], _jobs: int
) -> Iterator[Tried]:
    for number in numbers:
        with collector_paused():
            yield try_change(prepared, number, changes[number])


# -- processes ---------------------------------------------------------------------------------------------------

_work: tuple[Prepared, tuple[Change, ...]] | None = None
"""What is known of the sequence and its changes; processes that are forked have it at once."""


def _some(numbers: tuple[int, ...]) -> tuple[Tried, ...]:
    assert _work is not None, "set before the processes start"
    prepared, changes = _work
    with collector_paused():
        return tuple(try_change(prepared, number, changes[number]) for number in numbers)


@contextmanager
def _processes(jobs: int) -> Iterator[ProcessPoolExecutor]:
    gc.freeze()  # what is shared stays shared
    pool = ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("fork"))
    try:
        yield pool
    except BaseException:
        for process in list((pool._processes or {}).values()):
            process.terminate()
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    finally:
        gc.unfreeze()
    pool.shutdown()


def _in_processes(
    prepared: Prepared, changes: tuple[Change, ...], numbers: tuple[int, ...], jobs: int
) -> Iterator[Tried]:
    global _work
    if "fork" not in multiprocessing.get_all_start_methods():  # Windows: one process, same result
        yield from _here(prepared, changes, numbers, jobs)
        return
    _work = (prepared, changes)
    try:
        with _processes(jobs) as pool:
            tasks: list[Future[tuple[Tried, ...]]] = [
                pool.submit(_some, numbers[first : first + CHANGES_A_TASK])
                for first in range(0, len(numbers), CHANGES_A_TASK)
            ]
            for future in as_completed(tasks):
                yield from future.result()
    finally:
        _work = None
