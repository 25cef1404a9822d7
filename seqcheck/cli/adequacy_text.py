"""What the changes of a sequence came to, as blocks of text."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.adequacy.adequacy import Adequacy, ChangeOutcome, share
from seqcheck.adequacy.change import ChangeKind
from seqcheck.adequacy.coverage import Coverage, What
from seqcheck.adequacy.interlock_score import interlock_scores
from seqcheck.adequacy.suggestion import suggestion
from seqcheck.adequacy.try_change import Fate
from seqcheck.cli.block import Block, Heading, Table, Tone, cells, lines


def adequacy_blocks(found: Adequacy, *, shows_all: bool = False) -> tuple[Block, ...]:
    """Scores, unnoticed changes with what would notice them, and what the runs exercised."""
    return (
        *_head(found),
        *_scores(found),
        *_interlocks(found),
        *_unnoticed(found),
        *(_all(found) if shows_all else ()),
        *(_coverage(found.coverage) if found.coverage is not None else ()),
    )


def percent(value: float | None) -> str:
    """A share as `97.3 %`."""
    return "-" if value is None else f"{100 * value:.1f} %"


def _head(found: Adequacy) -> Iterator[Block]:
    sequence = found.sequence
    yield Heading(f"{sequence.file}: {sequence.name}")
    parts = ", ".join(f"{found.count(fate)} {fate.value}" for fate in Fate if found.count(fate))
    sample = "" if len(found.outcomes) == found.total else f" of {found.total}"
    yield lines(
        f"{len(found.outcomes)}{sample} changes: {parts or 'none tried'}.",
        f"Score: {percent(found.score)} of the changes that are valid and not equivalent are noticed.",
    )
    if found.is_interrupted:
        yield lines("Interrupted: what follows is of the changes tried so far.")
    if found.not_held:
        yield Heading("Not held in the first place, so that nothing is noticed by them", Tone.DOUBT)
        yield lines(*(f"{notice.requirement}: {notice.how.value}" for notice in found.not_held))


def _scores(found: Adequacy) -> Iterator[Block]:
    rows = []
    for kind in ChangeKind:
        mine = tuple(outcome for outcome in found.outcomes if outcome.change.kind is kind)
        if mine:
            counts = (str(sum(outcome.tried.fate is fate for outcome in mine)) for fate in Fate)
            rows.append(cells(kind.value, str(len(mine)), *counts, percent(share(mine))))
    if rows:
        yield Table(("change", "tried", *(fate.value for fate in Fate), "score"), tuple(rows))


def _interlocks(found: Adequacy) -> Iterator[Block]:
    scores = interlock_scores(found)
    if scores:
        yield Heading("Interlocks: of the changes around the output")
        rows = tuple(
            cells(
                score.requirement.id,
                score.output,
                str(score.judged),
                str(score.noticed),
                str(score.by_itself),
                percent(score.noticed / score.judged if score.judged else None),
            )
            for score in scores
        )
        yield Table(("id", "output", "changes", "noticed", "first by it", "score"), rows)


def _unnoticed(found: Adequacy) -> Iterator[Block]:
    for fate, title in (
        (Fate.UNNOTICED, "Unnoticed: no requirement fails. A requirement that would notice, to think about:"),
        (Fate.UNDECIDED, "Undecided: no requirement fails within the limits of the exploration"),
    ):
        outcomes = found.of(fate)
        if outcomes:
            yield Heading(title, Tone.DOUBT)
            yield lines(*(text for outcome in outcomes for text in _lines(found, outcome)))


def _lines(found: Adequacy, outcome: ChangeOutcome) -> tuple[str, str]:
    change = outcome.change
    return f"{change.place}: {change.text} [{change.kind.value}]", f"    {suggestion(found.sequence, change)}"


def _all(found: Adequacy) -> Iterator[Block]:
    yield Heading("Every change")
    yield Table(
        ("place", "change", "what", "fate", "by", "how"),
        tuple(
            cells(
                f"{outcome.change.place.line}:{outcome.change.place.column}",
                outcome.change.kind.value,
                outcome.change.text,
                outcome.tried.fate.value,
                outcome.tried.notice.requirement if outcome.tried.notice else "-",
                outcome.tried.notice.how.value if outcome.tried.notice else outcome.tried.reason or "-",
            )
            for outcome in found.outcomes
        ),
    )


def _coverage(coverage: Coverage) -> Iterator[Block]:
    yield Heading("Exercised in runs with one failure at most, whatever people do")
    rows = []
    for what in What:
        entries = coverage.of(what)
        exercised = sum(entry.is_exercised for entry in entries)
        rows.append(cells(f"{what.value}s", str(len(entries)), str(exercised), str(len(entries) - exercised)))
    yield Table(("what", "in the file", "exercised", "not"), tuple(rows))
    missed = [entry for entry in coverage.entries if not entry.is_exercised]
    if missed:
        yield Heading("Never exercised")
        yield lines(*(f"{entry.place}: {entry.what.value} {entry.name}: {entry.reason}" for entry in missed))
