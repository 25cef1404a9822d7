"""Repair hints as blocks of text and as plain data."""

from __future__ import annotations

from seqcheck.adequacy.hints import Hint, is_repairable
from seqcheck.check.outcome import Outcome
from seqcheck.cli.block import Block, lines
from seqcheck.cli.outcome_json import Json


def hints_below(outcome: Outcome, hints: tuple[Hint, ...]) -> dict[str, tuple[Block, ...]]:
    """What stands below the witness of each violated requirement that a hint was sought for, by its id."""
    return {
        judged.requirement.id: (_hints_of(judged.requirement.id, hints),)
        for judged in outcome.requirements
        if is_repairable(judged)
    }


def _hints_of(requirement: str, hints: tuple[Hint, ...]) -> Block:
    mine = [hint for hint in hints if hint.requirement == requirement]
    if not mine:
        return lines("Hint: no single term on one transition was found that makes it hold and no other requirement fail.")
    return lines(*(f"Hint: {hint.place}: on the way {hint.way} add 'AND {hint.term}'" for hint in mine))


def hints_json(hints: tuple[Hint, ...]) -> list[Json]:
    """The hints as data."""
    return [
        {
            "requirement": hint.requirement,
            "place": {"file": hint.place.file, "line": hint.place.line, "column": hint.place.column},
            "way": hint.way,
            "term": hint.term,
        }
        for hint in hints
    ]
