"""One proof of the accumulator budget: only the draw requirement is explored, and what its draws come to is kept.

Every variant of a sequence (faster line, shorter stroke, a longer time) is proven so; nothing here is simulated.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace

from seqcheck.check.draw import DrawSum, draws_in_a_row, greatest_sum, level_budget_us, level_names, metres_of
from seqcheck.check.group import group_sequence, groups_of, monitors_of
from seqcheck.check.options import CheckOptions
from seqcheck.check.work import Worker
from seqcheck.errors import SequenceFileError
from seqcheck.explore.limits import StopReason
from seqcheck.explore.search import collector_paused
from seqcheck.explore.summary import Exploration, MonitorSummary
from seqcheck.kernel.observer import DrawMonitor
from seqcheck.language.sequence import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSum:
    """What draws that begin at `level` come to at worst, and what it holds above the reserve; metres. `text`: the level's name.

    `drawn_us` and `budget_us` are the same as twice the time at line speed.
    """

    level: int
    text: str
    worst: DrawSum
    budget_us: int
    drawn_m: float
    budget_m: float

    @property
    def margin_us(self) -> int:
        """What is left, as twice the time at line speed."""
        return self.budget_us - self.worst.drawn_us

    @property
    def margin_m(self) -> float:
        """What is left, metres; below zero where it does not fit."""
        return self.budget_m - self.drawn_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What one exploration of a draw requirement found. `undecided`: why nothing is proven; empty if it is.

    `is_broken`: some single draw takes more than its level holds. `overruns`: some draw was followed only up to more than its
    level holds, so that its sum is a floor. `levels`: from each level from which anything is drawn.
    """

    levels: tuple[LevelSum, ...]
    is_broken: bool
    overruns: bool
    undecided: str
    classes: int

    @property
    def holds(self) -> bool:
        """Whether the web is proven to last."""
        return not self.is_broken and not self.undecided

    @property
    def margin_m(self) -> float | None:
        """The least margin of all levels; None if nothing is ever drawn."""
        return min((level.margin_m for level in self.levels), default=None)

    @property
    def scale(self) -> float | None:
        """How many times the worst draw its level holds, at the level where that is least; None if nothing is drawn."""
        return min((part.budget_us / part.worst.drawn_us for part in self.levels if part.worst.drawn_us), default=None)


@dataclass(frozen=True, slots=True)
class Refused:
    """A variant that is no possible machine; the sentence says why."""

    because: str


Proven = Proof | Refused


def prove(sequence: Sequence, requirement: str, options: CheckOptions) -> Proven:
    """Explore the draw requirement with this id.

    Raises KeyboardInterrupt where the search was interrupted.
    """
    try:
        return _prove(sequence, requirement, options)
    except SequenceFileError as error:
        return Refused("; ".join(f"expected {problem.expected}, found {problem.found}" for problem in error.problems))


def _prove(sequence: Sequence, requirement: str, options: CheckOptions) -> Proof:
    wanted = tuple(part for part in sequence.requirements if part.id == requirement)
    [group] = groups_of(sequence, wanted, options.faults)
    [monitor] = monitors_of(wanted[0], sequence)
    assert isinstance(monitor, DrawMonitor), "only draw requirements have a budget"
    with collector_paused():
        found = Worker(sequence, options).whole(group)
    if found.stop is StopReason.INTERRUPTED:
        raise KeyboardInterrupt
    return proof_of(sequence, monitor, found)


def proof_of(sequence: Sequence, monitor: DrawMonitor, found: Exploration) -> Proof:
    """What an exploration says of the budget."""
    summary = found.summaries[0]
    return Proof(
        levels=tuple(_levels(sequence, monitor, summary)),
        is_broken=summary.bad is not None,
        overruns=summary.over is not None,
        undecided=_undecided(monitor, found),
        classes=found.classes,
    )


def _levels(sequence: Sequence, monitor: DrawMonitor, summary: MonitorSummary) -> Iterator[LevelSum]:
    for level, text in level_names(monitor).items():
        worst = greatest_sum(summary.draws, level)
        if worst is not None:
            budget_us = level_budget_us(monitor, level)
            yield LevelSum(
                level=level,
                text=text,
                worst=worst,
                budget_us=budget_us,
                drawn_m=metres_of(sequence, worst.drawn_us),
                budget_m=metres_of(sequence, budget_us),
            )


def _undecided(monitor: DrawMonitor, found: Exploration) -> str:
    if found.stop is not StopReason.FINISHED:
        return str(found.stop.value)
    if found.time_loop:
        return f"a loop that takes no time was reached ({', '.join(found.time_loop)})"
    if found.summaries[0].started is None:
        return f"nothing is ever {'taken up by' if monitor.takes_up else 'drawn from'} the accumulator"
    return draws_in_a_row(monitor, found.summaries[0].draws)


def explored_part(sequence: Sequence, requirement: str, options: CheckOptions) -> object:
    """What a proof rests on: the part of the sequence that can influence the draw, and what watches it.

    Variants that differ only elsewhere have the same proof. One that is no possible machine stands for itself.
    """
    wanted = tuple(part for part in sequence.requirements if part.id == requirement)
    try:
        [group] = groups_of(sequence, wanted, options.faults)
        return group_sequence(sequence, group, reductions=True), monitors_of(wanted[0], sequence)
    except SequenceFileError:
        return sequence


@dataclass(slots=True)
class Prover:
    """Proves variants of one sequence. Mutable: it remembers proofs, counts them, and reports each; owned by one budget."""

    requirement: str
    options: CheckOptions
    what: str = ""
    proofs: int = 0
    classes: int = 0
    expected: int = 0
    _known: list[tuple[object, Proven]] = field(default_factory=list)

    def prove(self, sequence: Sequence) -> Proven:
        """The proof of one variant."""
        return next(iter(self.prove_all((sequence,))))

    def prove_all(self, sequences: Iterable[Sequence]) -> tuple[Proven, ...]:
        """The proofs of several variants, in their order; in as many processes as the options allow."""
        wanted = [(part, explored_part(part, self.requirement, self.options)) for part in sequences]
        fresh: list[tuple[Sequence, object]] = []
        for part, identity in wanted:
            if self._recalled(identity) is None and all(identity != other for _, other in fresh):
                fresh.append((part, identity))
        for (_, identity), proof in zip(fresh, self._proofs([part for part, _ in fresh]), strict=True):
            self._known.append((identity, proof))
        found = [self._recalled(identity) for _, identity in wanted]
        return tuple(proof for proof in found if proof is not None)

    def _recalled(self, identity: object) -> Proven | None:
        return next((proof for known, proof in self._known if known == identity), None)

    def _proofs(self, sequences: list[Sequence]) -> Iterator[Proven]:
        self.expected = max(self.expected, self.proofs + len(sequences))
        if self.options.jobs == 1 or len(sequences) < 2:
            for part in sequences:
                yield self._counted(prove(part, self.requirement, self.options))
            return
        plain = replace(self.options, report=None, jobs=1)
        with ProcessPoolExecutor(self.options.jobs) as pool:
            tasks = [pool.submit(prove, part, self.requirement, plain) for part in sequences]
            try:
                for task in tasks:
                    yield self._counted(task.result())
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                raise

    def _counted(self, proof: Proven) -> Proven:
        self.proofs += 1
        self.classes += proof.classes if isinstance(proof, Proof) else 0
        if self.options.report is not None:
            self.options.report(self.what, self.proofs, max(self.expected, self.proofs), self.classes)
        return proof
