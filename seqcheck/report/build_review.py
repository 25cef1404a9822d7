"""A review from a sequence and the outcome of its check: the tables are found in one or several processes, then put together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

from seqcheck.check.outcome import Outcome
from seqcheck.explore.limits import Limits
from seqcheck.explore.search import collector_paused
from seqcheck.language.sequence import Sequence
from seqcheck.report.build_cause_effect import CauseFindings, cause_effect_of
from seqcheck.report.build_fault_table import fault_table_of, horizon_us
from seqcheck.report.build_head import head_of
from seqcheck.report.build_matrix import Seen, matrix_of, survey
from seqcheck.report.build_safety_figures import safety_figures_of
from seqcheck.report.build_troubleshooting import troubleshooting_of
from seqcheck.report.exploration import Exploration, explore
from seqcheck.report.fault_findings import fault_findings, main_chart
from seqcheck.report.fault_table import FaultTable
from seqcheck.report.review import Review
from seqcheck.report.review_options import ReviewOptions
from seqcheck.report.troubleshooting import Troubleshooting

PARTS_A_PROCESS = 2
"""Parts that the survey of all failures is dealt out to, for each process: more even out their lengths."""


@dataclass(frozen=True, slots=True)
class _Task:
    """Something to be found out: `what`, and which part of how many of it."""

    what: str
    part: int = 0
    parts: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class FailureTables:
    """What one pass over the failures gives."""

    faults: FaultTable
    troubleshooting: Troubleshooting


@dataclass(frozen=True, slots=True)
class _Given:
    """What every task needs."""

    outcome: Outcome
    faults: int
    limits: Limits


def review_of(sequence: Sequence, outcome: Outcome, options: ReviewOptions) -> Review:
    """Everything a reviewer is shown of `sequence`, whose check came to `outcome`.

    With `options.jobs` above 1 the tables are found in that many processes. Deterministic.
    """
    given = _Given(_without_witnesses(outcome), options.faults, options.limits)
    found = dict(_found(given, options.jobs))
    seen = [result for task, result in found.items() if task.what == "states"]
    matrix = matrix_of(outcome, [part for part in seen if isinstance(part, Seen)])
    causes = found[_Task("causes")]
    failures = found[_Task("failures")]
    assert isinstance(causes, CauseFindings) and isinstance(failures, FailureTables), "what these tasks find"
    return Review(
        outcome=replace(outcome, sequence=sequence),
        head=head_of(outcome, options),
        matrix=matrix,
        faults=failures.faults,
        troubleshooting=failures.troubleshooting,
        cause_effect=causes.table,
        safety=safety_figures_of(outcome, matrix, causes),
    )


def _without_witnesses(outcome: Outcome) -> Outcome:
    """The outcome without what is large and not looked at, to be handed to other processes."""
    return replace(outcome, requirements=tuple(replace(part, witness=None) for part in outcome.requirements), traps=())


def _tasks(jobs: int) -> tuple[_Task, ...]:
    parts = 1 if jobs <= 1 else jobs * PARTS_A_PROCESS
    return (_Task("failures"), _Task("causes"), *(_Task("states", part, parts) for part in range(parts)))


def _found(given: _Given, jobs: int) -> Iterator[tuple[_Task, object]]:
    tasks = _tasks(jobs)
    if jobs <= 1:
        with collector_paused():
            worker = _Worker(given)
            for task in tasks:
                yield task, worker.do(task)
        return
    with ProcessPoolExecutor(jobs, initializer=_start, initargs=(given,)) as pool:
        yield from zip(tasks, pool.map(_do, tasks), strict=True)


class _Worker:
    """Explores once, then does its tasks."""

    def __init__(self, given: _Given) -> None:
        """Explore all runs without a failure."""
        self.given = given
        self.exploration: Exploration = explore(given.outcome.sequence, given.faults, given.limits)

    def do(self, task: _Task) -> object:
        """The result of one task."""
        doing: dict[str, Callable[[_Task], object]] = {
            "failures": self._failures,
            "causes": lambda _task: cause_effect_of(self.given.outcome, self.exploration),
            "states": lambda task: survey(self.given.outcome, self.exploration, self.given.faults > 0, task.part, task.parts),
        }
        return doing[task.what](task)

    def _failures(self, _task: _Task) -> FailureTables:
        sequence = self.given.outcome.sequence
        findings = fault_findings(self.exploration, main_chart(sequence), horizon_us(sequence))
        return FailureTables(
            faults=fault_table_of(self.exploration, findings),
            troubleshooting=troubleshooting_of(self.exploration, findings),
        )


_worker: _Worker | None = None
"""The worker of this process; set once by `_start`, in worker processes only."""


def _start(given: _Given) -> None:
    global _worker
    with collector_paused():
        _worker = _Worker(given)


def _do(task: _Task) -> object:
    assert _worker is not None, "the pool has started it"
    with collector_paused():
        return _worker.do(task)
