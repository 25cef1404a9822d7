"""Repair hints: one term added to one transition that makes a violated requirement hold and no other one fail.

A hint is a place to think about, not a repair: it says what would satisfy the requirements that the file states.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice, pairwise

from seqcheck.adequacy.change import Change, ChangeKind, InSteps, Subject, Way, ways_of
from seqcheck.adequacy.prepared import Prepared, prepare
from seqcheck.adequacy.try_change import changed_trial, first_notice
from seqcheck.check.outcome import RequirementOutcome, WitnessLine
from seqcheck.errors import Place
from seqcheck.explore.limits import Limits
from seqcheck.language.expression import And, Expression, Name, Not, names_in, to_text
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.reader.usage import entry_conditions, inputs_of
from seqcheck.requirements.verdict import Verdict

KINDS = ("interlock", "reaction")
"""Kinds that a permissive on a way can repair."""

MOST_WAYS = 3
"""Transitions that are looked at, counted back from the violation."""

MOST_TRIED = 120
"""Terms tried for a requirement, on all its transitions together."""

MOST_HINTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Hint:
    """`term`, added with AND to the condition of the transition at `place`, makes `requirement` hold."""

    requirement: str
    place: Place
    way: str
    term: str


def repair_hints(sequence: Sequence, judged: tuple[RequirementOutcome, ...]) -> tuple[Hint, ...]:
    """Hints for every violated interlock and reaction, those of the smallest terms first. Raises KeyboardInterrupt if stopped."""
    broken = [outcome for outcome in judged if is_repairable(outcome)]
    if not broken:
        return ()
    prepared = prepare(sequence, (), Limits(), with_failures=True, say=_silent)
    return tuple(hint for outcome in broken for hint in islice(_hints(prepared, outcome), MOST_HINTS))


def is_repairable(outcome: RequirementOutcome) -> bool:
    """Whether hints are sought: for a violated interlock or reaction, with a run that shows where."""
    is_kind = outcome.requirement.kind in KINDS
    return is_kind and outcome.verdict is Verdict.VIOLATED and outcome.witness is not None


def _silent(_what: str) -> None:
    """No progress to report."""


def _hints(prepared: Prepared, outcome: RequirementOutcome) -> Iterator[Hint]:
    assert outcome.witness is not None
    ways = ways_taken(prepared.sequence, outcome.witness.lines)[:MOST_WAYS]
    terms = tuple(candidate_terms(prepared.sequence, outcome.requirement))
    candidates = ((term, way) for term in terms for way in ways if _adds(way, term))
    for term, way in islice(candidates, MOST_TRIED):
        change = _with_term(prepared.sequence, way, term)
        if _repairs(prepared, outcome.requirement.id, change):
            yield Hint(
                requirement=outcome.requirement.id,
                place=way.transition.condition.place,
                way=way.text,
                term=to_text(term),
            )


def ways_taken(sequence: Sequence, told: tuple[WitnessLine, ...]) -> tuple[Way, ...]:
    """The transitions that a run takes, the last one first, each once."""
    found: list[Way] = []
    for before, after in pairwise(told):
        for left, entered in zip(before.steps, after.steps, strict=True):
            if left != entered:
                found.extend(_between(sequence, left, entered))
    return tuple({(way.text, way.number): way for way in reversed(found)}.values())


def _between(sequence: Sequence, left: str, entered: str) -> Iterator[Way]:
    chart, source = left.split(".")
    for way in ways_of(sequence):
        if way.chart.name == chart and source in way.sources and entered == f"{chart}.{way.transition.target}":
            yield way


def candidate_terms(sequence: Sequence, requirement: Requirement) -> Iterator[Expression]:
    """Inputs and step flags, then their opposites; those that the requirement speaks of before the others."""
    place = requirement.place
    inputs = tuple(inputs_of(sequence))
    flags = tuple(f"{chart.name}.{step.name}.X" for chart in sequence.charts for step in chart.steps)
    spoken = {name.text for entry in requirement.entries for test in entry_conditions(entry) for name in names_in(test)}
    names = sorted((*inputs, *flags), key=lambda name: name not in spoken)
    yield from (Name(place, name) for name in names)
    yield from (Not(place, Name(place, name)) for name in names)


def _adds(way: Way, term: Expression) -> bool:
    """Whether the term says something new: a name that is neither in the condition nor a step of the same chart."""
    name = next(names_in(term)).text
    is_own_step = name.startswith(f"{way.chart.name}.") and name.endswith(".X")
    return not is_own_step and name not in {other.text for other in names_in(way.transition.condition)}


def _with_term(sequence: Sequence, way: Way, term: Expression) -> Change:
    before = way.transition.condition
    operands = before.operands if isinstance(before, And) else (before,)
    condition = And(before.place, (*operands, term))
    return Change(
        kind=ChangeKind.DROP_TERM,
        place=before.place,
        text=f"'{to_text(term)}' added on the way {way.text}",
        owner=way.chart.name,
        touched=InSteps(way.chart.name, frozenset(way.sources)),
        subject=Subject(chart=way.chart.name, source=way.sources, target=way.transition.target, term=term),
        sequence=way.changed(sequence, replace(way.transition, condition=condition)),
    )


def _repairs(prepared: Prepared, requirement: str, change: Change) -> bool:
    """Whether the requirement holds in the changed sequence, and all that held before still does."""
    for known in prepared.known:
        watching = known.batch.group.watching
        mine = frozenset(number for number, part in enumerate(watching) if part.requirement == requirement)
        if not mine:
            continue
        trial = changed_trial(known, change, mine)
        if trial is None or not trial.first_notice(with_failures=False).is_quiet:
            return False
        if known.has_failures and not trial.first_notice(with_failures=True).is_quiet:
            return False
    return first_notice(prepared, change).is_quiet
