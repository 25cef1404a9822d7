"""One requirement in plain sentences: what was asked, what was found, why, and what was assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from seqcheck.check.measure_text import value_text
from seqcheck.check.outcome import Measure, Outcome, RequirementOutcome, Witness, WitnessLine
from seqcheck.language.expression import And, Expression, to_text
from seqcheck.language.sequence import Entry, Requirement, Sequence
from seqcheck.quantities.time import format_time
from seqcheck.report.explained_output import output_sentences
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.moment import condition_in
from seqcheck.requirements.verdict import Verdict

TIME_FIELDS = ("within", "drop within", "at most")
"""Fields whose value is the longest time allowed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Sentences by part. `run` are those of a run: one that breaks the requirement, or one that takes longest."""

    requirement: str
    asked: tuple[str, ...]
    found: tuple[str, ...]
    why: tuple[str, ...]
    run_title: str
    run: tuple[str, ...]
    assumed: tuple[str, ...]


def tightened(judged: RequirementOutcome) -> Requirement | None:
    """The requirement with a limit just below its worst time, so that a run that takes longest breaks it; None without such a
    time."""
    times = [measure for measure in judged.measures if measure.unit == "us" and measure.worst >= 1]
    field = next((name for name in TIME_FIELDS if judged.requirement.entry(name) is not None), None)
    if judged.verdict is not Verdict.HOLDS or not times or field is None:
        return None
    limit_us = round(max(measure.worst for measure in times)) - 1
    if limit_us < 1:
        return None
    entries = tuple(replace(part, value=limit_us) if part.name == field else part for part in judged.requirement.entries)
    return replace(judged.requirement, entries=entries)


def explanation_of(outcome: Outcome, judged: RequirementOutcome, longest: RequirementOutcome | None) -> Explanation:
    """The explanation of one requirement; `longest` is the outcome of the tightened one, where there is one."""
    shown = judged.witness if judged.verdict is not Verdict.HOLDS else longest.witness if longest else None
    title = "A run that breaks it" if judged.verdict is not Verdict.HOLDS else "A run that takes longest, told up to its worst time"
    return Explanation(
        requirement=judged.requirement.id,
        asked=tuple(_asked(judged)),
        found=tuple(_found(judged)),
        why=tuple(_why(outcome.sequence, judged)),
        run_title=title if shown is not None else "",
        run=tuple(_run(shown)) if shown is not None else (),
        assumed=tuple(_assumed(outcome, judged)),
    )


def _asked(judged: RequirementOutcome) -> Iterator[str]:
    requirement = judged.requirement
    yield requirement.text
    kind = REQUIREMENT_KINDS[requirement.kind]
    parts = [_field(entry) for entry in requirement.entries]
    yield f"In the terms of the file, kind '{kind.name}' ({kind.meaning}): {'; '.join(parts)}."
    people = "whatever people do" if requirement.given.text == "anything" else f"given {requirement.given.text}"
    start = ", from any state that the machine can be found in" if requirement.start_anywhere else ""
    yield f"It must hold under {judged.hypothesis}, {people}{start}."
    if requirement.clause:
        yield f"Clause: {requirement.clause}."


def _field(entry: Entry) -> str:
    value = entry.value
    if isinstance(value, Expression):
        return f"{entry.name} {to_text(value)}"
    if isinstance(value, tuple):
        return f"{entry.name} {', '.join(str(part) for part in value)}"
    if isinstance(value, int):
        return f"{entry.name} {format_time(value)}"
    return f"{entry.name} {value}"


def _found(judged: RequirementOutcome) -> Iterator[str]:
    explored = f"{judged.classes} classes of states" if judged.classes else "no state, since figures decide it"
    match judged.verdict:
        case Verdict.HOLDS:
            yield f"It holds: every run that the model allows was covered ({explored}), and none breaks it."
        case Verdict.VIOLATED:
            confirmed = judged.witness is not None and judged.witness.confirmed
            words = "; the concrete simulator replayed it with real scans" if confirmed else ""
            yield f"It is violated: {judged.reason or 'a run that breaks it was found'}{words}."
        case Verdict.VACUOUS:
            yield f"It was never put to the test, so it is no pass: {judged.reason}."
        case Verdict.UNDECIDED:
            yield f"It is undecided, so it is no pass: {judged.reason}."
    yield from (_measure(measure) for measure in judged.measures)


def _measure(measure: Measure) -> str:
    worst = value_text(measure.worst, measure.unit)
    bound = "" if measure.is_exact else ", a bound that the model widened and no run need attain"
    if measure.limit is None:
        return f"Worst value of '{measure.quantity}': {worst}{bound}."
    left = value_text(measure.margin, measure.unit)
    return f"Worst value of '{measure.quantity}': {worst}{bound}; allowed {value_text(measure.limit, measure.unit)}, left {left}."


def _why(sequence: Sequence, judged: RequirementOutcome) -> Iterator[str]:
    requirement = judged.requirement
    if judged.judged_on == "machine":
        yield "It was judged on what the machine does, so a switch that tells something else changes nothing."
    else:
        yield "It was judged on what the controller is told, which a failed switch can make untrue."
    output = requirement.value("interlock", str) if requirement.kind == "interlock" else None
    if output is not None:
        needs = condition_in(requirement, "only while")
        parts = needs.operands if isinstance(needs, And) else (needs,) if needs is not None else ()
        yield from output_sentences(sequence, output, parts)
    for text in judged.untested:
        yield f"{text} was never seen false while the output was off, so it was never tested as a permissive."
    if judged.latent:
        yield f"These failures never made a difference in any run: {', '.join(judged.latent)}."


def _run(witness: Witness) -> Iterator[str]:
    for line in witness.lines:
        yield _happening(line)
    if not witness.confirmed:
        yield f"(This run could not be replayed: {witness.reason}.)"


def _happening(line: WitnessLine) -> str:
    mark = "FAILURE: " if line.is_failure and "FAILURE" not in line.what else "ACT: " if line.is_act else ""
    outputs = f" ({', '.join(line.outputs)})" if line.outputs else ""
    return f"At {format_time(line.time_us)}: {mark}{line.what}{outputs}."


def _assumed(outcome: Outcome, judged: RequirementOutcome) -> Iterator[str]:
    scan = outcome.sequence.scan
    latest = format_time(scan.period.latest_us or 0)
    yield f"A read every {format_time(scan.period.earliest_us)} to {latest}; all times of devices within the ranges of the file."
    if judged.hypothesis != "no fault":
        yield f"Failures are permanent and may happen at any moment; the file has {outcome.failure_modes} failure modes."
    for device in outcome.sequence.devices:
        if device.excluded_failures:
            because = device.excluded_because or "no reason given"
            yield f"Left out by the file: {device.name} {', '.join(device.excluded_failures)}, because {because}."
