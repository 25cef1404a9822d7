"""The gate's verdict as JSON, and the results in it, which a later run can take as its base."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from seqcheck.compare.requirement_facts import CONDITION, NAMES, NUMBER, TEXT
from seqcheck.compare.weakening import SEVERITIES
from seqcheck.errors import UsageError
from seqcheck.gate.plain import NotPlainError, from_plain, to_plain
from seqcheck.gate.result import SequenceResult
from seqcheck.gate.verdict import GateVerdict, JudgedChange
from seqcheck.requirements.verdict import Verdict

FORMAT = 1
"""Raised whenever a name disappears or changes its meaning; new names may come at any time."""

KIND = "seqcheck gate"
VERDICTS = tuple(verdict.value for verdict in Verdict)
SORTS = {CONDITION: str, TEXT: str, NUMBER: float, NAMES: tuple}

Json = dict[str, Any]


def gate_json(verdict: GateVerdict, exit_code: int) -> str:
    """The whole document."""
    data = {
        "kind": KIND,
        "format": FORMAT,
        "exit_code": exit_code,
        "base": verdict.base,
        "changes": [_change(part) for part in verdict.changes],
        "unused_waivers": [waiver.requirement for waiver in verdict.unused],
        "warnings": list(verdict.warnings),
        "results": [to_plain(file.new) for file in verdict.files if file.new is not None],
    }
    return json.dumps(data, indent=2) + "\n"


def _change(part: JudgedChange) -> Json:
    change = part.change
    return {
        "level": part.level.value,
        "kind": change.kind.value,
        "place": to_plain(change.place),
        "requirement": change.requirement or None,
        "text": change.text,
        "old": change.old or None,
        "new": change.new or None,
        "run": to_plain(change.run),
        "waiver": None
        if part.waiver is None
        else {
            "requirement": part.waiver.requirement,
            "reason": part.waiver.reason,
            "approver": part.waiver.approver,
            "expires": part.waiver.expires.isoformat(),
        },
    }


@dataclass(frozen=True, slots=True)
class _Results:
    """The part of the document that is read back."""

    results: tuple[SequenceResult, ...]


def saved_results(text: str, file: str) -> tuple[SequenceResult, ...]:
    """The results in a document that `gate_json` made. Raises UsageError if it is none, or one of another format."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise UsageError(f"{file} is no JSON") from None
    if not isinstance(data, dict) or data.get("kind") != KIND:
        raise UsageError(f"{file} is no result of 'seqcheck gate'")
    if data.get("format") != FORMAT:
        raise UsageError(f"{file} has format {data.get('format')!r}; this program reads format {FORMAT}; make it anew")
    try:
        found = from_plain(_Results, {"results": data.get("results")}).results
        for result in found:
            _check(result)
    except NotPlainError as error:
        raise UsageError(f"{file} is damaged: {error}") from None
    return found


def _check(result: SequenceResult) -> None:
    """Refuse words and pairings that no program of ours writes; the comparison relies on them."""
    for judged in result.requirements:
        if judged.verdict not in VERDICTS or judged.asked.severity not in SEVERITIES:
            raise NotPlainError(f"requirement {judged.asked.id!r} has a verdict or severity that does not exist")
        for fact in judged.asked.facts:
            if not isinstance(fact.value, SORTS.get(fact.sort, ())):
                raise NotPlainError(f"field {fact.name!r} of requirement {judged.asked.id!r} is no {fact.sort!r}")
