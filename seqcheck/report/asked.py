"""What a requirement asks of a hazardous output, motion or energy: the permissives that must hold while it is on."""

from __future__ import annotations

from seqcheck.check.outcome import RequirementOutcome
from seqcheck.language.expression import And, Expression, Name, Not, Or, to_text
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.report.interlock_matrix import Subject, SubjectKind
from seqcheck.report.safeguards import safeguards_of
from seqcheck.requirements.interlock import motion_of, speaks_of_machine
from seqcheck.requirements.moment import condition_in

Pair = tuple[str, str]
"""A subject and a permissive, as text."""


def asked_of(outcome: RequirementOutcome, sequence: Sequence, subjects: tuple[Subject, ...]) -> dict[Pair, Expression]:
    """The pairs that one requirement speaks of, each with the permissive as a condition."""
    requirement, names = outcome.requirement, {subject.name for subject in subjects}
    match requirement.kind:
        case "interlock":
            return _interlock(requirement, sequence, names)
        case "never":
            condition = condition_in(requirement, "never")
            return _exclusion(condition.operands, names) if isinstance(condition, And) else {}
        case "always":
            condition = condition_in(requirement, "always")
            operands = condition.operands if isinstance(condition, Or) else ()
            return _exclusion(tuple(negation(part) for part in operands), names)
    return {}


def _interlock(requirement: Requirement, sequence: Sequence, names: set[str]) -> dict[Pair, Expression]:
    output, needs = requirement.value("interlock", str), condition_in(requirement, "only while")
    assert output is not None and needs is not None, "the reader asks for both"
    rows = [output]
    if speaks_of_machine(needs, sequence):
        motion = motion_of(requirement, sequence, output)
        parts = motion.operands if isinstance(motion, Or) else (motion,)
        rows = [part.text for part in parts if isinstance(part, Name)]
    found = {}
    for row in rows:
        for part in needs.operands if isinstance(needs, And) else (needs,):
            if row in names:
                found[row, to_text(part)] = part
    return found


def _exclusion(operands: tuple[Expression, ...], names: set[str]) -> dict[Pair, Expression]:
    """All of `operands` never hold together: each that is a subject needs that the others do not."""
    found = {}
    for number, part in enumerate(operands):
        if isinstance(part, Name) and part.text in names:
            others = operands[:number] + operands[number + 1 :]
            rest = others[0] if len(others) == 1 else And(part.place, others)
            permissive = negation(rest)
            found[part.text, to_text(permissive)] = permissive
    return found


def negation(condition: Expression) -> Expression:
    """The opposite, without two NOTs in a row."""
    return condition.operand if isinstance(condition, Not) else Not(condition.place, condition)


def permissives_to_show(sequence: Sequence, subjects: tuple[Subject, ...]) -> tuple[Expression, ...]:
    """Permissives that stand in the matrix whether asked or not: guards closed, curtains free, emergency stops out, circuits on."""
    place = sequence.charts[0].place
    found: list[Expression] = [Not(place, Name(place, part.fact)) for part in safeguards_of(sequence)]
    found += [Name(place, subject.name) for subject in subjects if subject.kind is SubjectKind.ENERGY]
    return tuple(found)
