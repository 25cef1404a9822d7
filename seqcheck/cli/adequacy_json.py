"""What the changes of a sequence came to, as plain data for JSON."""

from __future__ import annotations

from seqcheck.adequacy.adequacy import Adequacy, ChangeOutcome
from seqcheck.adequacy.coverage import Covered
from seqcheck.adequacy.interlock_score import InterlockScore, interlock_scores
from seqcheck.adequacy.suggestion import suggestion
from seqcheck.adequacy.try_change import Fate
from seqcheck.cli.outcome_json import FORMAT, Json
from seqcheck.errors import Place
from seqcheck.language.sequence import Sequence


def adequacy_json(found: Adequacy, code: int) -> Json:
    """The result; the same result gives the same data in the same order."""
    return {
        "format": FORMAT,
        "file": found.sequence.file,
        "sequence": found.sequence.name,
        "exit_code": code,
        "interrupted": found.is_interrupted,
        "changes": found.total,
        "tried": len(found.outcomes),
        "score": found.score,
        **{fate.value: found.count(fate) for fate in Fate},
        "not_held": [{"requirement": part.requirement, "how": part.how.value} for part in found.not_held],
        "interlocks": [_interlock(score) for score in interlock_scores(found)],
        "outcomes": [_outcome(found.sequence, outcome) for outcome in found.outcomes],
        "coverage": [_covered(entry) for entry in found.coverage.entries] if found.coverage else [],
    }


def _outcome(sequence: Sequence, outcome: ChangeOutcome) -> Json:
    change, tried = outcome.change, outcome.tried
    is_open = tried.fate in (Fate.UNNOTICED, Fate.UNDECIDED)
    return {
        "number": tried.number,
        "kind": change.kind.value,
        "place": _place(change.place),
        "text": change.text,
        "fate": tried.fate.value,
        "requirement": tried.notice.requirement if tried.notice else None,
        "how": tried.notice.how.value if tried.notice else None,
        "reason": tried.reason or None,
        "suggestion": suggestion(sequence, change) if is_open else None,
    }


def _interlock(score: InterlockScore) -> Json:
    return {
        "id": score.requirement.id,
        "output": score.output,
        "changes": score.judged,
        "noticed": score.noticed,
        "first_by_it": score.by_itself,
    }


def _covered(entry: Covered) -> Json:
    return {
        "what": entry.what.value,
        "name": entry.name,
        "place": _place(entry.place),
        "exercised": entry.is_exercised,
        "reason": entry.reason or None,
    }


def _place(place: Place) -> Json:
    return {"file": place.file, "line": place.line, "column": place.column}
