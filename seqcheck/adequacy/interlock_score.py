"""How well each interlock is guarded: of the changes around its output, how many something notices."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.adequacy.adequacy import Adequacy, ChangeOutcome
from seqcheck.adequacy.change import Subject
from seqcheck.adequacy.try_change import Fate
from seqcheck.language.sequence import Requirement, Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class InterlockScore:
    """`noticed` by any requirement, `by_itself` first by this one, of `judged` changes that are valid and not equivalent."""

    requirement: Requirement
    output: str
    judged: int
    noticed: int
    by_itself: int


def interlock_scores(adequacy: Adequacy) -> tuple[InterlockScore, ...]:
    """One score for each interlock of the file, in its order."""
    found = []
    for requirement in adequacy.sequence.requirements:
        output = requirement.value("interlock", str) if requirement.kind == "interlock" else None
        if output is not None:
            found.append(_score(adequacy, requirement, output))
    return tuple(found)


def _score(adequacy: Adequacy, requirement: Requirement, output: str) -> InterlockScore:
    near = [
        outcome
        for outcome in adequacy.outcomes
        if outcome.tried.fate in (Fate.NOTICED, Fate.UNNOTICED) and _is_near(adequacy.sequence, outcome, output)
    ]
    noticed = [outcome for outcome in near if outcome.tried.fate is Fate.NOTICED]
    by_itself = [outcome for outcome in noticed if _noticed_by(outcome) == requirement.id]
    return InterlockScore(
        requirement=requirement, output=output, judged=len(near), noticed=len(noticed), by_itself=len(by_itself)
    )


def _noticed_by(outcome: ChangeOutcome) -> str:
    return outcome.tried.notice.requirement if outcome.tried.notice is not None else ""


def _is_near(sequence: Sequence, outcome: ChangeOutcome, output: str) -> bool:
    """Whether the change is on an action of the output, on a way into a step that drives it, or in such a step."""
    subject = outcome.change.subject
    if subject.variable == output:
        return True
    return bool(subject.chart) and _leads_to(sequence, subject, output)


def _leads_to(sequence: Sequence, subject: Subject, output: str) -> bool:
    driving = {
        step.name
        for step in sequence.chart(subject.chart).steps
        if any(action.variable == output and action.qualifier != "R" for action in step.actions)
    }
    return subject.target in driving or (len(subject.source) == 1 and subject.source[0] in driving)
