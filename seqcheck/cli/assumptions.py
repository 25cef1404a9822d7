"""What a check assumed, so that a reader can disagree with it."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.cli.block import Block, Heading, lines
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import TimeRange, format_time


def assumption_blocks(outcome: Outcome) -> tuple[Block, ...]:
    """Scan, hypotheses with their givens, failures counted and left out, and how much was explored."""
    sequence = outcome.sequence
    return (
        Heading("Assumed"),
        lines(
            f"Scan: a read every {_range_text(sequence.scan.period)}; outputs written "
            f"{_range_text(sequence.scan.write)} after it.",
            *_hypotheses(outcome.requirements),
            f"Failure modes of the devices: {outcome.failure_modes}.",
            *_left_out(sequence),
            *_judged_on_signals(outcome.requirements),
            *_by_symmetry(outcome.requirements),
            f"Explored: {outcome.classes} classes of states, {outcome.transitions} transitions.",
        ),
    )


def _range_text(range_: TimeRange) -> str:
    earliest = format_time(range_.earliest_us)
    if range_.latest_us is None:
        return f"{earliest} or later"
    return (
        earliest
        if range_.latest_us == range_.earliest_us
        else f"{earliest} to {format_time(range_.latest_us)}"
    )


def _hypotheses(requirements: tuple[RequirementOutcome, ...]) -> Iterator[str]:
    under: dict[str, list[str]] = {}
    for judged in requirements:
        start = ", from any start" if judged.requirement.start_anywhere else ""
        text = f"Under {judged.hypothesis}{start}, given {judged.requirement.given.text}"
        under.setdefault(text, []).append(judged.requirement.id)
    for text, ids in under.items():
        yield f"{text}: {', '.join(ids)}."


def _left_out(sequence: Sequence) -> Iterator[str]:
    for device in sequence.devices:
        if device.excluded_failures:
            because = device.excluded_because or "no reason given"
            yield f"Left out by the file: {device.name} {', '.join(device.excluded_failures)}, because {because}."
        if device.intermittent_failures:
            yield f"Intermittent: {device.name} {', '.join(device.intermittent_failures)}; all others stay once they come."


def _by_symmetry(requirements: tuple[RequirementOutcome, ...]) -> Iterator[str]:
    found = [f"{judged.requirement.id} with {judged.symmetric_to}" for judged in requirements if judged.symmetric_to]
    if found:
        yield f"By symmetry, as exchanging the names of two copies leaves the sequence as it is: {', '.join(found)}."


def _judged_on_signals(requirements: tuple[RequirementOutcome, ...]) -> Iterator[str]:
    ids = [
        judged.requirement.id
        for judged in requirements
        if judged.judged_on == "signals" and judged.requirement.severity == "safety"
    ]
    if ids:
        yield f"Judged on what the controller is told, which a failed switch can make untrue: {', '.join(ids)}."
