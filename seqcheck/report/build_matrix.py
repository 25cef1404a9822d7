"""Fills the interlock matrix: what was asked and found, and what always holds in the explored states."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.explore.limits import StopReason
from seqcheck.kernel.build import build_core
from seqcheck.kernel.condition import compile_condition, names_of
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.language.expression import Expression, to_text
from seqcheck.language.sequence import Sequence
from seqcheck.report.asked import asked_of, permissives_to_show
from seqcheck.report.exploration import Exploration
from seqcheck.report.guarantees import Asking, guarantee_of
from seqcheck.report.interlock_matrix import (
    Answer,
    Asked,
    Cell,
    Guarantee,
    InterlockMatrix,
    Permissive,
    Subject,
)
from seqcheck.report.safeguards import safeguards_of
from seqcheck.report.subjects import subjects_of
from seqcheck.report.survey import Survey, Surveyor, Tally
from seqcheck.requirements.verdict import Verdict

EXPLORED = (
    "every state that the model reaches without a failure, and with any one failure, whatever people do; "
    "inputs are judged without a failure only"
)
WITHOUT_FAULT = "every state that the model reaches without a failure, whatever people do"


AskedPairs = dict[tuple[str, str], list[tuple[RequirementOutcome, Expression]]]
"""By subject and permissive, the requirements that ask for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A part of what was seen: without a failure, and with any one (None: not looked at). `is_complete`: no limit was reached."""

    sound: Survey
    failed: Survey | None
    is_complete: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """The outcome of a check with what was seen, and the names of both."""

    network: Network
    asked: AskedPairs
    seen: Seen


def matrix_of(outcome: Outcome, parts: list[Seen]) -> InterlockMatrix:
    """The matrix of one sequence, from all parts of what was seen."""
    sequence, network = outcome.sequence, build_core(outcome.sequence, NetworkOptions())
    subjects = subjects_of(sequence)
    asked = _all_asked(outcome, subjects)
    judged = _Judged(network=network, asked=asked, seen=_joined(parts))
    columns = _columns(outcome, subjects, asked)
    return InterlockMatrix(
        subjects=subjects,
        permissives=tuple(
            Permissive(condition=text, on_machine=any(name in network.names.facts for name in names_of(part)))
            for text, part in columns.items()
        ),
        cells=tuple(
            _cell(subject.name, number, part, judged) for subject in subjects for number, part in enumerate(columns.values())
        ),
        guarantees=_guarantees(sequence, subjects, judged),
        explored="" if not judged.seen.is_complete else EXPLORED if judged.seen.failed else WITHOUT_FAULT,
    )


def _joined(parts: list[Seen]) -> Seen:
    first = parts[0]
    for part in parts[1:]:
        first.sound.join(part.sound)
        if first.failed is not None and part.failed is not None:
            first.failed.join(part.failed)
    return Seen(sound=first.sound, failed=first.failed, is_complete=all(part.is_complete for part in parts))


def _guarantees(sequence: Sequence, subjects: tuple[Subject, ...], judged: _Judged) -> tuple[Guarantee, ...]:
    if not judged.seen.is_complete:
        return ()
    gone = tuple(part.fact for part in safeguards_of(sequence))
    return tuple(
        guarantee_of(
            Asking(subject=subject, subjects=subjects, gone=gone, asked=_asked_texts(subject, judged.asked)),
            judged.network,
            judged.seen.sound,
            judged.seen.failed,
        )
        for subject in subjects
    )


def _all_asked(outcome: Outcome, subjects: tuple[Subject, ...]) -> AskedPairs:
    found: AskedPairs = {}
    for judged in outcome.requirements:
        for pair, condition in asked_of(judged, outcome.sequence, subjects).items():
            found.setdefault(pair, []).append((judged, condition))
    return found


def _asked_texts(subject: Subject, asked: AskedPairs) -> frozenset[str]:
    return frozenset(text for name, text in asked if name == subject.name)


def _columns(outcome: Outcome, subjects: tuple[Subject, ...], asked: AskedPairs) -> dict[str, Expression]:
    """Those that stand in every matrix, then those asked for, in the order of the requirements."""
    found = {to_text(part): part for part in permissives_to_show(outcome.sequence, subjects)}
    for (_, text), answers in asked.items():
        found.setdefault(text, answers[0][1])
    return found


def survey(outcome: Outcome, exploration: Exploration, with_fault: bool, part: int, parts: int) -> Seen:
    """Look at every state once; of failures, at every one of `parts` in turn, beginning with number `part`.

    States without a failure are looked at in part 0.
    """
    network, subjects = exploration.network, subjects_of(exploration.sequence)
    columns = _columns(outcome, subjects, _all_asked(outcome, subjects))
    tests = tuple(compile_condition(condition, network.names.machine_test) for condition in columns.values())
    names, charts = [subject.name for subject in subjects], len(network.controller.charts)
    surveyor, sound, failed = Surveyor(network, names, tests), Survey.of(charts, names), Survey.of(charts, names)
    if part == 0:
        surveyor.look(sound, (node.state for node in exploration.base.nodes.values()))
        failed.join(sound)
    if not with_fault or not exploration.is_complete:
        return Seen(sound=sound, failed=None, is_complete=exploration.is_complete)
    is_complete = True
    for search in exploration.layers(part, parts):
        surveyor.look(failed, (node.state for node in search.nodes.values()))
        is_complete = is_complete and search.stop is StopReason.FINISHED
    return Seen(sound=sound, failed=failed, is_complete=is_complete)


def _cell(subject: str, number: int, condition: Expression, judged: _Judged) -> Cell:
    """One cell; of a condition on inputs nothing is said with failures, and nothing of a subject against itself."""
    text, seen, names = to_text(condition), judged.seen, names_of(condition)
    answers = judged.asked.get((subject, text), [])
    is_known = seen.is_complete and subject not in names and not _names_chosen(names, judged.network)
    on_facts = all(name in judged.network.names.facts for name in names)
    proven = [_faults(part) for part, _ in answers if part.verdict is Verdict.HOLDS and _is_open(part)]
    return Cell(
        subject=subject,
        permissive=text,
        asked=_sum([part.verdict for part, _ in answers]),
        proven_faults=max(proven, default=None),
        always_without_fault=_always(seen.sound.subjects[subject], number) if is_known else None,
        always_with_one_fault=_always(seen.failed.subjects[subject], number) if is_known and on_facts and seen.failed else None,
        answers=tuple(_answer(part) for part, _ in answers),
    )


def _always(tally: Tally, number: int) -> bool | None:
    return number not in tally.broken if tally.states else None


def _names_chosen(names: tuple[str, ...], network: Network) -> bool:
    """Whether there is an input among the names whose value a state does not hold, because each read chooses it."""
    chosen = set(network.signals_in(network.chosen_mask)) | {part.device for part in network.chosen}
    return any(name.split(".")[0] in chosen for name in names)


def _sum(verdicts: list[Verdict]) -> Asked:
    if not verdicts:
        return Asked.NOT_ASKED
    if Verdict.VIOLATED in verdicts:
        return Asked.VIOLATED
    return Asked.PROVEN if Verdict.HOLDS in verdicts else Asked.UNDECIDED


def _is_open(judged: RequirementOutcome) -> bool:
    """Whether it was judged whatever people do."""
    return judged.requirement.given.allowed is None and not judged.requirement.given.still


def _faults(judged: RequirementOutcome) -> int:
    return {"any one fault": 1, "any two faults": 2}.get(judged.hypothesis, 0)


def _answer(judged: RequirementOutcome) -> Answer:
    return Answer(
        requirement=judged.requirement.id,
        verdict=judged.verdict,
        hypothesis=judged.hypothesis,
        given=judged.requirement.given.text,
        witness=judged.requirement.id if judged.verdict is Verdict.VIOLATED and judged.witness else "",
    )


