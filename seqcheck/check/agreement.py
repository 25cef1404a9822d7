"""Proofs held against property tests: what a drawn run refutes, the proof must refute, and nothing may be worse than proved."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.check.property_outcome import Disagreement, PropertyTests, Tested
from seqcheck.quantities.time import format_time
from seqcheck.requirements.verdict import Verdict

DEFECT = "a defect of seqcheck, please report it"


@dataclass(frozen=True, slots=True)
class Checked:
    """What proofs and property tests of one sequence came to; `tests` None: none were asked for."""

    outcome: Outcome
    tests: PropertyTests | None = None


def compared(outcome: Outcome, tests: PropertyTests) -> Checked:
    """The two side by side. A requirement on which they disagree is undecided."""
    found = {
        judged.requirement.id: disagreement
        for judged in outcome.requirements
        if (disagreement := _disagreement(judged, tests.of(judged.requirement.id))) is not None
    }
    requirements = tuple(
        _doubted(judged, found.get(judged.requirement.id)) for judged in outcome.requirements
    )
    tests = replace(tests, disagreements=tuple(found.values()))
    return Checked(replace(outcome, requirements=requirements), tests)


def _disagreement(judged: RequirementOutcome, tested: Tested | None) -> Disagreement | None:
    if tested is None:
        return None
    refutation = tested.refutation
    text = ""
    if refutation is not None and not refutation.witness.confirmed:
        text = f"a drawn run cannot be replayed: {refutation.witness.reason}"
    elif refutation is not None and judged.verdict in (Verdict.HOLDS, Verdict.VACUOUS):
        text = f"a drawn run breaks it ({refutation.why}), the proof says that it {judged.verdict.value}"
    elif judged.verdict is Verdict.HOLDS and (proved_us := _proved_us(judged)) is not None:
        text = _beyond(tested, proved_us)
    if not text:
        return None
    return Disagreement(
        requirement=judged.requirement.id,
        text=text,
        proof=_proof_text(judged),
        scenario=None if refutation is None else refutation.scenario,
    )


def _beyond(tested: Tested, proved_us: int) -> str:
    if tested.worst_us is None or tested.worst_us <= proved_us:
        return ""
    return f"a drawn run took {format_time(tested.worst_us)}, the proof says at most {format_time(proved_us)}"


def _proved_us(judged: RequirementOutcome) -> int | None:
    """The worst duration proved, where the requirement measures durations and nothing else."""
    measures = judged.measures
    if not measures or any(measure.unit != "us" for measure in measures):
        return None
    return round(max(measure.worst for measure in measures))


def _proof_text(judged: RequirementOutcome) -> str:
    values = ", ".join(f"{measure.quantity} {measure.worst:g} {measure.unit}" for measure in judged.measures)
    return (
        f"{judged.requirement.id} {judged.verdict.value} under {judged.hypothesis}, given {judged.requirement.given.text}; "
        f"{judged.classes} classes, {judged.transitions} transitions; {values or 'nothing measured'}"
    )


def _doubted(judged: RequirementOutcome, disagreement: Disagreement | None) -> RequirementOutcome:
    if disagreement is None:
        return judged
    return replace(judged, verdict=Verdict.UNDECIDED, reason=f"{DEFECT}: {disagreement.text}")
