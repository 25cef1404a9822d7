"""Moments as a file names them: a step entered, or a condition that comes to hold."""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError, nearest_name
from seqcheck.kernel.observer import Enters, Holds, Moment
from seqcheck.language.expression import And, Constant, Expression, Name, Not, Or
from seqcheck.language.sequence import Entry, Requirement, Sequence


def moment_of(condition: Expression) -> Moment:
    """The moment in which `condition` comes to hold; for a bare step flag, each entry of the step."""
    if isinstance(condition, Name) and condition.text.endswith(".X"):
        chart, step, _ = condition.text.split(".")
        return Enters(chart, step)
    return Holds(condition)


def moments_of(condition: Expression) -> tuple[Moment, ...]:
    """The moments of a condition whose alternatives (`a.X OR b.X`) are separate moments."""
    if isinstance(condition, Or):
        return tuple(moment_of(operand) for operand in condition.operands)
    return (moment_of(condition),)


def step_named(sequence: Sequence, entry: Entry, text: str) -> Enters:
    """The step called `text` (`ready` or `splice.ready`).

    Raises SequenceFileError if there is none, or if several charts have one of that name.
    """
    found = [
        Enters(chart.name, step.name)
        for chart in sequence.charts
        for step in chart.steps
        if text in (step.name, f"{chart.name}.{step.name}", f"{chart.name}.{step.name}.X")
    ]
    if len(found) == 1:
        return found[0]
    names = [f"{chart.name}.{step.name}" for chart in sequence.charts for step in chart.steps]
    raise SequenceFileError(
        [
            Problem(
                place=entry.place,
                expected="the name of one step, as 'step' or 'chart.step'",
                found=f"{text!r}, which {'several charts have' if found else 'no chart has'}",
                nearest=nearest_name(text, names),
            )
        ]
    )


def steps_named(requirement: Requirement, sequence: Sequence, field: str) -> tuple[Enters, ...]:
    """The steps that a NAMES or NAME field lists."""
    entry = requirement.entry(field)
    assert entry is not None, f"the reader asks for {field}"
    texts = (entry.value,) if isinstance(entry.value, str) else entry.value
    assert isinstance(texts, tuple)
    return tuple(step_named(sequence, entry, str(text)) for text in texts)


def condition_in(requirement: Requirement, field: str) -> Expression | None:
    """The condition in a field, or None."""
    entry = requirement.entry(field)
    if entry is None:
        return None
    assert isinstance(entry.value, Constant | Name | Expression), f"{field} is no condition"
    return entry.value


def needed_condition(requirement: Requirement, field: str) -> Expression:
    """The condition in a field that the reader asks for."""
    condition = condition_in(requirement, field)
    assert condition is not None, f"the reader asks for {field}"
    return condition


def needed_time_us(requirement: Requirement, field: str) -> int:
    """The time in a field that the reader asks for."""
    value = requirement.value(field, int)
    assert value is not None, f"the reader asks for {field}"
    return value


def name_at(requirement: Requirement, text: str) -> Name:
    """A name as if it stood where the requirement does."""
    return Name(requirement.place, text)


def both(requirement: Requirement, first: Expression, second: Expression) -> And:
    """Both conditions."""
    return And(requirement.place, (first, second))


def negated(condition: Expression) -> Not:
    """The opposite of a condition."""
    return Not(condition.place, condition)
