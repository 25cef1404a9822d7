"""What a change is compared with: a revision in git, or the results that an earlier run saved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from seqcheck.compare.requirement_facts import RequirementFacts, facts_of
from seqcheck.errors import Problem, SequenceFileError
from seqcheck.gate.result import SequenceResult
from seqcheck.gate.revision import Repository
from seqcheck.gate.scope import Scope
from seqcheck.gate.sources import Sources, gather


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseFile:
    """One file of the base. Either `sources`, to be checked, or `result`, which is known already (also: its problems)."""

    file: str
    sequence: str = ""
    asked: tuple[RequirementFacts, ...] = ()
    sources: Sources | None = None
    result: SequenceResult | None = None


class Base(Protocol):
    """A base: what it is called, and its files in a scope."""

    @property
    def text(self) -> str:
        """What a person calls it."""

    def files(self, scope: Scope) -> tuple[BaseFile, ...]:
        """The sequences of the base that the scope covers, sorted by name."""


@dataclass(frozen=True, slots=True)
class GitBase:
    """A commit. Files are read out of git's store; the work tree is not touched."""

    repository: Repository
    commit: str
    text: str

    def files(self, scope: Scope) -> tuple[BaseFile, ...]:
        """Every file of the commit in the scope; one that cannot be read has a result with its problems."""
        return tuple(self._file(name) for name in self.repository.files(self.commit) if scope.covers(name))

    def _file(self, name: str) -> BaseFile:
        try:
            sources = gather(name, lambda wanted: self.repository.content(self.commit, wanted))
        except SequenceFileError as error:
            return _unusable(name, error.problems)
        return BaseFile(file=name, sources=sources)


@dataclass(frozen=True, slots=True)
class SavedBase:
    """Results that were saved."""

    results: tuple[SequenceResult, ...]
    text: str

    def files(self, scope: Scope) -> tuple[BaseFile, ...]:
        """Every saved result in the scope."""
        return tuple(
            BaseFile(
                file=result.file,
                sequence=result.sequence,
                asked=tuple(judged.asked for judged in result.requirements),
                result=result,
            )
            for result in sorted(self.results, key=lambda result: result.file)
            if scope.covers(result.file)
        )


def looked_into(base: BaseFile) -> BaseFile:
    """The same with what the sequence is called and asks, read out of its sources; with its problems if it cannot be read."""
    if base.sources is None:
        return base
    try:
        sequence = base.sources.sequence()
    except SequenceFileError as error:
        return _unusable(base.file, error.problems)
    asked = tuple(facts_of(requirement) for requirement in sequence.requirements)
    return BaseFile(file=base.file, sequence=sequence.name, asked=asked, sources=base.sources)


def _unusable(file: str, problems: tuple[Problem, ...]) -> BaseFile:
    return BaseFile(file=file, result=SequenceResult(file=file, problems=problems))
