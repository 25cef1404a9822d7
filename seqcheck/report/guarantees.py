"""From a survey to sentences: what always holds while something hazardous is on, and what of the safeguards does not."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.report.interlock_matrix import Guarantee, Subject, SubjectKind
from seqcheck.report.survey import Survey, Tally

MOST_STEPS = 6
"""More steps than these are no guarantee worth reading."""


def guarantee_of(
    subject: Subject,
    subjects: tuple[Subject, ...],
    gone: tuple[str, ...],
    sound: Survey,
    failed: Survey | None,
    asked: frozenset[str],
) -> Guarantee:
    """What is guaranteed of one subject. `gone`: facts that mean that a safeguard calls for a stop."""
    here = sound.subjects[subject.name]
    there = failed.subjects[subject.name] if failed else None
    without_fault = tuple(_conditions(subject, here, sound, with_inputs=True)) if here.states else ()
    with_one = tuple(_conditions(subject, there, failed, with_inputs=False)) if there and failed and there.states else ()
    judged, tally = (failed, there) if failed and there else (sound, here)
    return Guarantee(
        subject=subject.name,
        without_fault=without_fault,
        with_one_fault=with_one,
        asked=tuple(text for text in without_fault if text in asked),
        not_guaranteed=tuple(_missing(subject, subjects, gone, tally, judged)) if tally.states else (),
        states=(here.states, there.states if there else 0),
    )


def _conditions(subject: Subject, tally: Tally, survey: Survey, *, with_inputs: bool) -> Iterator[str]:
    """Facts, then inputs, then steps; what holds in every state there is says nothing of this subject and is left out."""
    yield from _facts(subject, tally, survey)
    if with_inputs:
        yield from _inputs(tally, survey)
    yield from _steps(tally, survey)


def _facts(subject: Subject, tally: Tally, survey: Survey) -> Iterator[str]:
    """For each other device the facts that are true; where none is, those that are false."""
    own = {device for device, _ in subject.hazards} | {subject.name.split(".")[0]}
    by_device: dict[str, list[int]] = {}
    for bit, name in enumerate(survey.facts.names):
        by_device.setdefault(name.split(".")[0], []).append(bit)
    chosen = {part.device for part in survey.network.chosen}
    for device, bits in by_device.items():
        if device in own and (subject.kind is not SubjectKind.ENERGY or device == subject.name.split(".")[0]):
            continue
        if device in chosen:
            continue
        true = [bit for bit in bits if tally.true_facts >> bit & 1 and not survey.every.true_facts >> bit & 1]
        false = [bit for bit in bits if tally.false_facts >> bit & 1 and not survey.every.false_facts >> bit & 1]
        yield from (survey.facts.names[bit] for bit in true)
        if not true:
            yield from (f"NOT {survey.facts.names[bit]}" for bit in false)


def _inputs(tally: Tally, survey: Survey) -> Iterator[str]:
    network = survey.network
    for bit, name in enumerate(network.signal_names):
        if network.chosen_mask >> bit & 1:
            continue
        if tally.true_signals >> bit & 1 and not survey.every.true_signals >> bit & 1:
            yield name
        if tally.false_signals >> bit & 1 and not survey.every.false_signals >> bit & 1:
            yield f"NOT {name}"


def _steps(tally: Tally, survey: Survey) -> Iterator[str]:
    for chart, steps, every in zip(
        survey.network.controller.charts, tally.steps, survey.every.steps, strict=True
    ):
        if len(steps) <= MOST_STEPS and len(steps) < len(every):
            yield " OR ".join(f"{chart.name}.{chart.step_names[step]}.X" for step in sorted(steps))


def _missing(
    subject: Subject, subjects: tuple[Subject, ...], gone: tuple[str, ...], tally: Tally, survey: Survey
) -> Iterator[str]:
    """Safeguards that are not always in place, energy that is not always on, other motions that may go on."""
    names = survey.facts.names
    for fact in gone:
        if not tally.false_facts >> names.index(fact) & 1:
            yield f"NOT {fact}"
    for other in subjects:
        if other.name == subject.name or other.name not in names:
            continue
        bit = names.index(other.name)
        if other.kind is SubjectKind.ENERGY and not tally.true_facts >> bit & 1:
            yield other.name
        shared = {device for device, _ in other.hazards} & {device for device, _ in subject.hazards}
        if other.kind is SubjectKind.MOTION and not shared and not tally.false_facts >> bit & 1:
            yield f"NOT {other.name}"
