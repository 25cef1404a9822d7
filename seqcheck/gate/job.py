"""One file's work, small enough to be sent to another process or machine: texts and options in, a result out."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass, replace

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.compare.requirement_facts import CONDITION, TEXT, RequirementFacts
from seqcheck.errors import SequenceFileError
from seqcheck.explore.limits import Limits
from seqcheck.gate.plain import to_plain
from seqcheck.gate.result import Permissive, SequenceResult, kept_result
from seqcheck.gate.sources import Sources
from seqcheck.kernel.build import build_core
from seqcheck.kernel.condition import names_of
from seqcheck.kernel.network import NetworkOptions
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.language.expression import And, Expression, parse_expression, to_text
from seqcheck.language.sequence import Entry, Given, Hypothesis, Requirement, Sequence

Draw = Callable[[Sequence], tuple[tuple[str, str], ...]]
"""Name and digest of each drawing of a sequence. A plain function of a module, so that other processes find it."""

MARK = " needs "
"""Between a requirement's id and the number of one of its permissives; no id of a file has blanks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedPermissive:
    """One condition of an interlock of the base that another revision is asked about, under the base's hypothesis."""

    asked: RequirementFacts
    output: str
    condition: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What is to be checked. `processes`: in the check itself, 1 where several jobs run side by side."""

    sources: Sources
    permissives: tuple[AskedPermissive, ...] = ()
    most_classes: int | None = None
    most_seconds: float | None = None
    processes: int = 1

    def key(self, version: str) -> str:
        """What the result depends on, as one digest: `version` of the program, texts, options. Not the number of processes."""
        parts = [version, self.sources.digest, self.most_classes, self.most_seconds, to_plain(self.permissives)]
        return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()


def run_job(job: Job, draw: Draw) -> SequenceResult:
    """Check the file of `job`. Everything that is wrong with the file is in the result; nothing is raised for it."""
    file, digest = job.sources.file, job.sources.digest
    try:
        sequence = job.sources.sequence()
        return _checked(job, sequence, draw(sequence))
    except SequenceFileError as error:
        return SequenceResult(file=file, digest=digest, problems=error.problems)


def _checked(job: Job, sequence: Sequence, drawings: tuple[tuple[str, str], ...]) -> SequenceResult:
    extra = [_requirement(number, asked, sequence) for number, asked in enumerate(job.permissives)]
    added = tuple(part for part in extra if isinstance(part, Requirement))
    options = CheckOptions(
        limits=Limits(classes=job.most_classes, seconds=job.most_seconds), jobs=job.processes, traps=True
    )
    outcome = check_sequence(replace(sequence, requirements=(*sequence.requirements, *added)), options)
    own = tuple(judged for judged in outcome.requirements if MARK not in judged.requirement.id)
    found = {judged.requirement.id: judged for judged in outcome.requirements}
    permissives = tuple(
        _permissive(asked, extra[number], found) for number, asked in enumerate(job.permissives)
    )
    result = kept_result(replace(outcome, sequence=sequence, requirements=own), job.sources.digest, drawings)
    return replace(result, permissives=permissives)


def _permissive(asked: AskedPermissive, extra: Requirement | str, found: dict[str, RequirementOutcome]) -> Permissive:
    judged = None if isinstance(extra, str) else found[extra.id]
    return Permissive(
        requirement=asked.asked.id,
        output=asked.output,
        condition=asked.condition,
        verdict="" if judged is None else judged.verdict.value,
        reason=extra if isinstance(extra, str) else "",
    )


def _requirement(number: int, asked: AskedPermissive, sequence: Sequence) -> Requirement | str:
    """The interlock of one condition alone, or why it cannot be asked."""
    condition = parse_expression(asked.condition, asked.asked.place)
    missing = _missing_names(asked, condition, sequence)
    if missing:
        return f"the sequence has no {', '.join(missing)} any more"
    facts = asked.asked
    place = sequence.charts[0].place
    entries = (("interlock", asked.output), ("only while", condition))
    return Requirement(
        id=f"{facts.id}{MARK}{number}",
        place=place,
        kind="interlock",
        text=f"{asked.output} only while {asked.condition}",
        entries=tuple(Entry(name=name, value=value, place=place) for name, value in entries),
        under=Hypothesis(count=facts.faults, named=facts.named, controller=facts.controller),
        given=_given(facts),
        start_anywhere=facts.start_anywhere,
    )


def _given(facts: RequirementFacts) -> Given:
    pairs = [text.split(" stays ", 1) for text in facts.still]
    return Given(allowed=facts.allowed, still=tuple((device, word) for device, word in pairs))


def _missing_names(asked: AskedPermissive, condition: Expression, sequence: Sequence) -> list[str]:
    try:
        network = build_core(sequence, NetworkOptions())
    except InstantLoopError:
        return ["settled state"]
    names = network.names
    known = {*names.signals, *names.outputs, *names.cells, *names.steps, *names.watchdogs, *names.facts}
    people = {device.name for device in sequence.devices}
    failures = {mode.name for mode in network.failures}
    facts = asked.asked
    devices = (*(facts.allowed or ()), *(text.split(" stays ", 1)[0] for text in facts.still))
    return [
        *(name for name in (asked.output, *names_of(condition)) if name not in known),
        *(name for name in devices if name not in people),
        *(name for name in facts.named if name not in failures),
    ]


def permissives_of(base: tuple[RequirementFacts, ...]) -> tuple[AskedPermissive, ...]:
    """Each condition of each interlock on its own, `AND` taken apart."""
    found: list[AskedPermissive] = []
    for asked in base:
        needs, output = asked.fact("only while"), asked.fact("interlock")
        if asked.kind != "interlock" or needs is None or output is None or (needs.sort, output.sort) != (CONDITION, TEXT):
            continue
        condition = parse_expression(str(needs.value), asked.place)
        parts = condition.operands if isinstance(condition, And) else (condition,)
        found.extend(
            AskedPermissive(asked=asked, output=str(output.value), condition=to_text(part)) for part in parts
        )
    return tuple(found)
