"""Fills the interlock matrix: what was asked and found, and what always holds in the explored states."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.explore.limits import StopReason
from seqcheck.kernel.condition import compile_condition, names_of
from seqcheck.language.expression import Expression, to_text
from seqcheck.report.asked import asked_of, negation, permissives_to_show
from seqcheck.report.exploration import Exploration
from seqcheck.report.guarantees import guarantee_of
from seqcheck.report.interlock_matrix import Answer, Asked, Cell, InterlockMatrix, Permissive, Subject
from seqcheck.report.safeguards import safeguards_of
from seqcheck.report.subjects import subjects_of
from seqcheck.report.survey import FactMasks, Survey, Tally
from seqcheck.requirements.verdict import Verdict

EXPLORED = (
    "every state that the model reaches without a failure, and with any one failure, whatever people do; "
    "inputs are judged without a failure only"
)
WITHOUT_FAULT = "every state that the model reaches without a failure, whatever people do"


@dataclass(frozen=True, slots=True, kw_only=True)
class Surveys:
    """What was seen without a failure, and with any one (None where failures were left out or a limit was reached)."""

    sound: Survey
    failed: Survey | None
    is_complete: bool


def matrix_of(outcome: Outcome, exploration: Exploration, with_fault: bool) -> InterlockMatrix:
    """The matrix of one sequence."""
    subjects = subjects_of(outcome.sequence)
    asked = _all_asked(outcome, subjects)
    columns = _columns(outcome, subjects, asked)
    surveys = survey(exploration, subjects, tuple(columns.values()), with_fault)
    cells = tuple(
        _cell(subject, text, number, columns[text], asked, surveys)
        for subject in subjects
        for number, text in enumerate(columns)
    )
    facts = exploration.network.names.facts
    gone = tuple(part.fact for part in safeguards_of(outcome.sequence))
    return InterlockMatrix(
        subjects=subjects,
        permissives=tuple(
            Permissive(condition=text, on_machine=any(name in facts for name in names_of(part)))
            for text, part in columns.items()
        ),
        cells=cells,
        guarantees=tuple(
            guarantee_of(subject, subjects, gone, surveys.sound, surveys.failed, _asked_texts(subject, asked))
            for subject in subjects
            if surveys.is_complete
        ),
        explored="" if not surveys.is_complete else EXPLORED if surveys.failed else WITHOUT_FAULT,
    )


AskedPairs = dict[tuple[str, str], list[tuple[RequirementOutcome, Expression]]]


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


def survey(
    exploration: Exploration, subjects: tuple[Subject, ...], conditions: tuple[Expression, ...], with_fault: bool
) -> Surveys:
    """Look at every state once."""
    network = exploration.network
    tests = tuple(compile_condition(part, network.names.machine_test) for part in conditions)
    facts, names = FactMasks(network), [subject.name for subject in subjects]
    sound = Survey.of(network, facts, names, tests)
    sound.see(node.state for node in exploration.base.nodes.values())
    if not with_fault or not exploration.is_complete:
        return Surveys(sound=sound, failed=None, is_complete=exploration.is_complete)
    failed, is_complete = Survey.of(network, facts, names, tests), True
    failed.see(node.state for node in exploration.base.nodes.values())
    for _, search in exploration.layers():
        failed.see(node.state for node in search.nodes.values())
        is_complete = is_complete and search.stop is StopReason.FINISHED
    return Surveys(sound=sound, failed=failed if is_complete else None, is_complete=True)


def _cell(
    subject: Subject, text: str, number: int, condition: Expression, asked: AskedPairs, surveys: Surveys
) -> Cell:
    answers = asked.get((subject.name, text), [])
    network = surveys.sound.network
    on_facts = all(name in network.names.facts for name in names_of(condition))
    is_own = subject.name in {to_text(condition), to_text(negation(condition))}
    proven = [_faults(judged) for judged, _ in answers if judged.verdict is Verdict.HOLDS and _is_open(judged)]
    known = surveys.is_complete and not is_own and not _names_chosen(condition, surveys.sound)
    return Cell(
        subject=subject.name,
        permissive=text,
        asked=_sum([judged.verdict for judged, _ in answers]),
        proven_faults=max(proven, default=None),
        always_without_fault=_always(surveys.sound.subjects[subject.name], number) if known else None,
        always_with_one_fault=(
            _always(surveys.failed.subjects[subject.name], number) if known and surveys.failed and on_facts else None
        ),
        answers=tuple(_answer(judged) for judged, _ in answers),
    )


def _always(tally: Tally, number: int) -> bool | None:
    return number not in tally.broken if tally.states else None


def _names_chosen(condition: Expression, survey_: Survey) -> bool:
    """Whether the condition speaks of an input whose value a state does not hold, because each read chooses it."""
    network = survey_.network
    chosen = set(network.signals_in(network.chosen_mask)) | {part.device for part in network.chosen}
    return any(name.split(".")[0] in chosen for name in names_of(condition))


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


