"""From a survey to sentences: what always holds while something hazardous is on, and what of the safeguards does not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.network import Network
from seqcheck.report.interlock_matrix import Guarantee, Subject, SubjectKind
from seqcheck.report.survey import Survey, Tally

MOST_STEPS = 6
"""More steps than these are no guarantee worth reading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """One subject among all; `gone`: facts that mean that a safeguard calls for a stop; `asked`: conditions that requirements
    ask for."""

    subject: Subject
    subjects: tuple[Subject, ...]
    gone: tuple[str, ...]
    asked: frozenset[str]


def guarantee_of(asking: Asking, network: Network, sound: Survey, failed: Survey | None) -> Guarantee:
    """What is guaranteed of one subject."""
    name = asking.subject.name
    here, there = sound.subjects[name], failed.subjects[name] if failed else None
    without_fault = tuple(_conditions(asking.subject, network, sound, with_inputs=True)) if here.states else ()
    with_one: tuple[str, ...] = ()
    if failed is not None and there is not None and there.states:
        with_one = tuple(_conditions(asking.subject, network, failed, with_inputs=False))
    tally = here if there is None else there
    return Guarantee(
        subject=name,
        without_fault=without_fault,
        with_one_fault=with_one,
        asked=tuple(text for text in without_fault if text in asking.asked),
        not_guaranteed=tuple(_missing(asking, network, tally)) if tally.states else (),
        states=(here.states, there.states if there else 0),
    )


def _conditions(subject: Subject, network: Network, survey: Survey, *, with_inputs: bool) -> Iterator[str]:
    """Facts, then inputs, then steps; what holds in every state there is says nothing of this subject and is left out."""
    yield from _facts(subject, network, survey)
    if with_inputs:
        yield from _inputs(survey.subjects[subject.name], network, survey.every)
    yield from _steps(survey.subjects[subject.name], network, survey.every)


def _facts(subject: Subject, network: Network, survey: Survey) -> Iterator[str]:
    """For each other device the facts that are true; where none is, those that are false."""
    names, tally, every = tuple(network.names.facts), survey.subjects[subject.name], survey.every
    own = {subject.name.split(".")[0]}
    if subject.kind is not SubjectKind.ENERGY:
        own |= {device for device, _ in subject.hazards}
    by_device: dict[str, list[int]] = {}
    for bit, name in enumerate(names):
        by_device.setdefault(name.split(".")[0], []).append(bit)
    for device, bits in by_device.items():
        if device in own or device in {part.device for part in network.chosen}:
            continue
        true = [bit for bit in bits if tally.true_facts >> bit & 1 and not every.true_facts >> bit & 1]
        yield from (names[bit] for bit in true)
        if not true:
            yield from (
                f"NOT {names[bit]}" for bit in bits if tally.false_facts >> bit & 1 and not every.false_facts >> bit & 1
            )


def _inputs(tally: Tally, network: Network, every: Tally) -> Iterator[str]:
    for bit, name in enumerate(network.signal_names):
        if network.chosen_mask >> bit & 1:
            continue
        if tally.true_signals >> bit & 1 and not every.true_signals >> bit & 1:
            yield name
        if tally.false_signals >> bit & 1 and not every.false_signals >> bit & 1:
            yield f"NOT {name}"


def _steps(tally: Tally, network: Network, every: Tally) -> Iterator[str]:
    for chart, steps, all_steps in zip(network.controller.charts, tally.steps, every.steps, strict=True):
        if len(steps) <= MOST_STEPS and len(steps) < len(all_steps):
            yield " OR ".join(f"{chart.name}.{chart.step_names[step]}.X" for step in sorted(steps))


def _missing(asking: Asking, network: Network, tally: Tally) -> Iterator[str]:
    """Safeguards that are not always in place, energy that is not always on, other motions that may go on."""
    names, subject = tuple(network.names.facts), asking.subject
    for fact in asking.gone:
        if not tally.false_facts >> names.index(fact) & 1:
            yield f"NOT {fact}"
    for other in asking.subjects:
        if other.name == subject.name or other.name not in names:
            continue
        bit = names.index(other.name)
        if other.kind is SubjectKind.ENERGY and not tally.true_facts >> bit & 1:
            yield other.name
        shared = {device for device, _ in other.hazards} & {device for device, _ in subject.hazards}
        if other.kind is SubjectKind.MOTION and not shared and not tally.false_facts >> bit & 1:
            yield f"NOT {other.name}"
