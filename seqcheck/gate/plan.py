"""Which files belong together, and which checks that needs: a file that did not change is checked once, or not at all."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.gate.base import BaseFile, looked_into
from seqcheck.gate.job import Job, permissives_of
from seqcheck.gate.result import SequenceResult
from seqcheck.gate.sources import ReadBytes, Sources, gather


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One revision of a file: a job that will tell its result, or the result."""

    job: Job | None = None
    result: SequenceResult | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """One file in both revisions; None: it is not in that one."""

    file: str
    old: Side | None
    new: Side | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How far each check may go."""

    most_classes: int | None = None
    most_seconds: float | None = None
    processes: int = 1


def plan(names: tuple[str, ...], read: ReadBytes, bases: tuple[BaseFile, ...], limits: Limits) -> tuple[Planned, ...]:
    """All files of both revisions, those of the work tree (`names`) first."""
    now = {name: _gathered(name, read) for name in names}
    known = {base.file: base for base in bases}
    gone = {name: part for name, part in now.items() if name in known and _is_missing(name, read)}
    here = {name: part for name, part in now.items() if name not in gone}
    before = {name: known[name] for name in here if name in known}
    added = {name: part for name, part in here.items() if name not in known}
    before |= _renamed(added, [base for base in bases if base.file not in here])
    taken = {base.file for base in before.values()}
    files = [_both(name, part, before.get(name), limits) for name, part in here.items()]
    left = [base for base in bases if base.file not in taken]
    return (*files, *(Planned(file=base.file, old=_old(base, limits), new=None) for base in left))


def _is_missing(name: str, read: ReadBytes) -> bool:
    try:
        read(name)
    except FileNotFoundError:
        return True
    except OSError:
        return False
    return False


def _gathered(name: str, read: ReadBytes) -> Sources | tuple[Problem, ...]:
    try:
        return gather(name, read)
    except SequenceFileError as error:
        return error.problems


def _renamed(here: dict[str, Sources | tuple[Problem, ...]], bases: list[BaseFile]) -> dict[str, BaseFile]:
    """New files that carry the name of a sequence whose file is gone; only where the name says which one is meant."""
    if not bases or not here:
        return {}
    looked = [looked_into(base) for base in bases]
    count = Counter(base.sequence for base in looked if base.sequence)
    gone = {base.sequence: base for base in looked if count[base.sequence] == 1}
    called = {name: _called(part) for name, part in here.items() if isinstance(part, Sources)}
    twice = Counter(called.values())
    return {name: gone[title] for name, title in called.items() if title in gone and twice[title] == 1}


def _called(sources: Sources) -> str:
    try:
        return sources.sequence().name
    except SequenceFileError:
        return ""


def _both(name: str, part: Sources | tuple[Problem, ...], base: BaseFile | None, limits: Limits) -> Planned:
    if not isinstance(part, Sources):
        unusable = SequenceResult(file=name, problems=part)
        return Planned(file=name, old=None if base is None else Side(result=base.result), new=Side(result=unusable))
    if base is None or _is_same(part, base):
        own = _job(part, limits)
        return Planned(file=name, old=None if base is None else _same(base, own), new=Side(job=own))
    base = looked_into(base)
    asked = replace(_job(part, limits), permissives=permissives_of(base.asked))
    return Planned(file=name, old=_old(base, limits), new=Side(job=asked))


def _is_same(part: Sources, base: BaseFile) -> bool:
    if base.sources is not None:
        return base.sources.digest == part.digest
    return base.result is not None and base.result.digest == part.digest


def _same(base: BaseFile, job: Job) -> Side:
    return Side(result=base.result) if base.result is not None else Side(job=job)


def _old(base: BaseFile, limits: Limits) -> Side:
    return Side(result=base.result) if base.sources is None else Side(job=_job(base.sources, limits))


def _job(sources: Sources, limits: Limits) -> Job:
    return Job(
        sources=sources,
        most_classes=limits.most_classes,
        most_seconds=limits.most_seconds,
        processes=limits.processes,
    )
