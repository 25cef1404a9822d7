"""What a check of one file came to, as plain values: what is kept in a cache, saved as a base, and compared with another."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.measure_text import value_text
from seqcheck.check.outcome import Measure, Outcome, RequirementOutcome, Witness
from seqcheck.compare.requirement_facts import RequirementFacts, facts_of
from seqcheck.errors import Place, Problem
from seqcheck.quantities.time import format_time


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptMeasure:
    """A measured value against its limit; microseconds or metres. `is_least`: it must not fall below the limit."""

    quantity: str
    unit: str
    worst: float
    limit: float | None
    is_least: bool = False
    is_exceeded: bool = False

    @property
    def margin(self) -> float | None:
        """What is left to the limit; None where there is none."""
        if self.limit is None:
            return None
        return self.worst - self.limit if self.is_least else self.limit - self.worst

    @property
    def is_cut(self) -> bool:
        """Whether the stopwatch stopped counting one microsecond beyond the limit, so that the worst is 'more than' that."""
        return self.unit == "us" and self.limit is not None and round(self.worst) == round(self.limit) + 1

    @property
    def worst_text(self) -> str:
        """The worst value with its unit."""
        return f"more than {self.text(self.limit)}" if self.is_cut else self.text(self.worst)

    @property
    def margin_text(self) -> str:
        """What is left to the limit, with its unit."""
        return "none" if self.is_cut else self.text(self.margin)

    def text(self, value: float | None) -> str:
        """One of the values with its unit."""
        return value_text(value, self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLine:
    """One line of a run: when, what, which outputs changed."""

    time: str
    what: str
    outputs: tuple[str, ...] = ()
    is_failure: bool = False
    is_act: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRequirement:
    """A requirement and its verdict (`holds`, `violated`, `vacuous`, `undecided`), with the run that shows it."""

    asked: RequirementFacts
    verdict: str
    reason: str = ""
    under: str = ""
    given: str = ""
    judged_on: str = ""
    measures: tuple[KeptMeasure, ...] = ()
    run: tuple[KeptLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFinding:
    """A static finding, with its code."""

    place: Place
    text: str
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Permissive:
    """One condition of an interlock of the base, asked of another revision. `verdict` empty: it could not be asked."""

    requirement: str
    output: str
    condition: str
    verdict: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SequenceResult:
    """All of one file. `problems`: why it could not be checked; then everything else is empty.

    `drawings`: name and digest of each drawing. `digest` is that of the texts that it was read from.
    """

    file: str
    sequence: str = ""
    revision: str = ""
    digest: str = ""
    problems: tuple[Problem, ...] = ()
    requirements: tuple[KeptRequirement, ...] = ()
    permissives: tuple[Permissive, ...] = ()
    findings: tuple[KeptFinding, ...] = ()
    drawings: tuple[tuple[str, str], ...] = ()
    stopped: str = ""

    def requirement(self, wanted: str) -> KeptRequirement | None:
        """The requirement with this id, or None."""
        return next((part for part in self.requirements if part.asked.id == wanted), None)


def kept_requirement(judged: RequirementOutcome) -> KeptRequirement:
    """The plain form of a verdict."""
    return KeptRequirement(
        asked=facts_of(judged.requirement),
        verdict=judged.verdict.value,
        reason=judged.reason,
        under=judged.hypothesis,
        given=judged.requirement.given.text,
        judged_on=judged.judged_on,
        measures=tuple(_kept_measure(measure) for measure in judged.measures),
        run=() if judged.witness is None else kept_run(judged.witness),
    )


def kept_result(outcome: Outcome, digest: str = "", drawings: tuple[tuple[str, str], ...] = ()) -> SequenceResult:
    """The plain form of an outcome."""
    return SequenceResult(
        file=outcome.sequence.file,
        sequence=outcome.sequence.name,
        revision=outcome.sequence.revision,
        digest=digest,
        requirements=tuple(kept_requirement(judged) for judged in outcome.requirements),
        findings=tuple(KeptFinding(place=part.place, text=part.text, code=part.code) for part in outcome.findings),
        drawings=drawings,
        stopped=outcome.stopped,
    )


def kept_run(witness: Witness) -> tuple[KeptLine, ...]:
    """The lines of a run."""
    return tuple(
        KeptLine(
            time=format_time(line.time_us),
            what=line.what,
            outputs=line.outputs,
            is_failure=line.is_failure,
            is_act=line.is_act,
        )
        for line in witness.lines
    )


def _kept_measure(measure: Measure) -> KeptMeasure:
    return KeptMeasure(
        quantity=measure.quantity,
        unit=measure.unit,
        worst=measure.worst,
        limit=measure.limit,
        is_least=measure.is_least,
        is_exceeded=measure.is_exceeded,
    )
