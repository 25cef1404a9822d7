"""Finds what changed between two results of a file: verdicts, what is asked, margins, permissives, drawings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.compare.weakening import undecided_changes, weakenings
from seqcheck.errors import Place
from seqcheck.gate.change import Change, ChangeKind
from seqcheck.gate.result import KeptMeasure, KeptRequirement, SequenceResult

HOLDS = "holds"
NEWLY = {
    "violated": ChangeKind.NEWLY_VIOLATED,
    "vacuous": ChangeKind.NEWLY_VACUOUS,
    "undecided": ChangeKind.NEWLY_UNDECIDED,
}
CYCLE_KINDS = ("duration", "completion", "recovery")
REACTION_KINDS = ("interlock", "reaction", "detection")
NOTICED_US = 1.0
"""A change of a duration below this is none: times are whole microseconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """From when a lost margin and a longer time count, as shares of the old margin and of the old time."""

    margin_lost_ratio: float = 0.10
    slower_ratio: float = 0.05


def changes_between(old: SequenceResult | None, new: SequenceResult | None, thresholds: Thresholds) -> tuple[Change, ...]:
    """All changes of one file. None: there is no such file (any more); a base that could not be read counts as none."""
    if new is None:
        assert old is not None, "a file is in one of the two revisions"
        return (_about_file(ChangeKind.SEQUENCE_DELETED, old, f"the base has the sequence {old.sequence!r} here"),)
    if new.problems:
        return tuple(_unreadable(new))
    if old is None or old.problems:
        return tuple(_of_new_file(new))
    return tuple(_of_both(old, new, thresholds))


def _about_file(kind: ChangeKind, result: SequenceResult, text: str) -> Change:
    return Change(kind=kind, place=Place(result.file, 1, 1), text=text)


def _unreadable(new: SequenceResult) -> Iterator[Change]:
    for problem in new.problems:
        text = problem.text().removeprefix(f"{problem.place}: ")
        yield Change(kind=ChangeKind.UNREADABLE, place=problem.place, text=text)


def _of_new_file(new: SequenceResult) -> Iterator[Change]:
    yield _about_file(ChangeKind.SEQUENCE_ADDED, new, f"the sequence {new.sequence!r} is not in the base")
    for judged in new.requirements:
        if judged.verdict != HOLDS:
            yield _verdict(NEWLY[judged.verdict], judged, "new")


def _of_both(old: SequenceResult, new: SequenceResult, thresholds: Thresholds) -> Iterator[Change]:
    if old.file != new.file:
        yield _about_file(ChangeKind.SEQUENCE_RENAMED, new, f"was {old.file} in the base")
    for judged in new.requirements:
        before = old.requirement(judged.asked.id)
        if before is None:
            yield from _added(judged)
        else:
            yield from _requirement(before, judged, thresholds)
    for judged in old.requirements:
        if new.requirement(judged.asked.id) is None:
            yield _removed(judged, new)
    yield from _permissives(old, new)
    yield from _drawings(old, new)


def _added(judged: KeptRequirement) -> Iterator[Change]:
    if judged.verdict == HOLDS:
        yield _verdict(ChangeKind.REQUIREMENT_ADDED, judged, "new")
    else:
        yield _verdict(NEWLY[judged.verdict], judged, "new")


def _removed(judged: KeptRequirement, new: SequenceResult) -> Change:
    return Change(
        kind=ChangeKind.REMOVED,
        place=Place(new.file, 1, 1),
        requirement=judged.asked.id,
        text=f"the base asks for it: {judged.asked.sentence or judged.asked.kind}",
        old=judged.verdict,
    )


def _requirement(old: KeptRequirement, new: KeptRequirement, thresholds: Thresholds) -> Iterator[Change]:
    if new.verdict != HOLDS:
        is_new = new.verdict != old.verdict
        yield _verdict(NEWLY[new.verdict] if is_new else ChangeKind.STILL_BROKEN, new, old.verdict)
    elif old.verdict != HOLDS:
        yield _verdict(ChangeKind.MENDED, new, old.verdict)
    for text in weakenings(old.asked, new.asked):
        yield _about(ChangeKind.WEAKENED, new, text)
    for text in undecided_changes(old.asked, new.asked):
        yield _about(ChangeKind.PERHAPS_WEAKENED, new, text)
    for measure in new.measures:
        before = next((part for part in old.measures if _same_quantity(part, measure)), None)
        if before is not None:
            yield from _measure(new, before, measure, thresholds)


def _about(kind: ChangeKind, judged: KeptRequirement, text: str, old: str = "", new: str = "") -> Change:
    return Change(kind=kind, place=judged.asked.place, requirement=judged.asked.id, text=text, old=old, new=new)


def _verdict(kind: ChangeKind, judged: KeptRequirement, old: str) -> Change:
    reason = f": {judged.reason}" if judged.reason else ""
    return Change(
        kind=kind,
        place=judged.asked.place,
        requirement=judged.asked.id,
        text=f"{judged.asked.sentence or judged.asked.kind}, under {judged.under}, given {judged.given}{reason}",
        old=old,
        new=judged.verdict,
        run=judged.run,
    )


def _same_quantity(old: KeptMeasure, new: KeptMeasure) -> bool:
    return (old.quantity, old.unit, old.is_least) == (new.quantity, new.unit, new.is_least)


def _measure(judged: KeptRequirement, old: KeptMeasure, new: KeptMeasure, thresholds: Thresholds) -> Iterator[Change]:
    """Margin lost, and for durations also longer or shorter."""
    if _has_lost_margin(old, new, thresholds):
        text = f"{new.quantity}: worst {old.worst_text} -> {new.worst_text}, limit {new.text(new.limit)}"
        yield _about(ChangeKind.MARGIN_LOST, judged, text, f"margin {old.margin_text}", f"margin {new.margin_text}")
    if new.unit == "us" and judged.asked.kind in CYCLE_KINDS + REACTION_KINDS:
        yield from _duration(judged, old, new, thresholds)


def _duration(judged: KeptRequirement, old: KeptMeasure, new: KeptMeasure, thresholds: Thresholds) -> Iterator[Change]:
    sort = "reaction time" if judged.asked.kind in REACTION_KINDS else "cycle time"
    text = f"{sort}, {new.quantity}: worst {old.worst_text} -> {new.worst_text}"
    grown_us = new.worst - old.worst
    if grown_us >= NOTICED_US and grown_us > old.worst * thresholds.slower_ratio:
        yield _about(ChangeKind.SLOWER, judged, text, old.worst_text, new.worst_text)
    if -grown_us >= NOTICED_US and -grown_us > old.worst * thresholds.slower_ratio:
        yield _about(ChangeKind.FASTER, judged, text, old.worst_text, new.worst_text)


def _has_lost_margin(old: KeptMeasure, new: KeptMeasure, thresholds: Thresholds) -> bool:
    if old.margin is None or new.margin is None:
        return False
    lost = old.margin - new.margin
    least = NOTICED_US if new.unit == "us" else 1e-9
    return lost >= least and lost > max(old.margin, 0.0) * thresholds.margin_lost_ratio


def _permissives(old: SequenceResult, new: SequenceResult) -> Iterator[Change]:
    """Only of interlocks that held in the base: what was broken before is told as still broken."""
    for asked in new.permissives:
        before = old.requirement(asked.requirement)
        if before is None or before.verdict != HOLDS or asked.verdict == HOLDS or asked.verdict == "vacuous":
            continue
        now = new.requirement(asked.requirement)
        place = Place(new.file, 1, 1) if now is None else now.asked.place
        is_lost = asked.verdict == "violated"
        yield Change(
            kind=ChangeKind.INTERLOCK_LOST if is_lost else ChangeKind.NOT_ASKED,
            place=place,
            requirement=asked.requirement,
            text=_permissive_text(asked.output, asked.condition, asked.reason, is_lost=is_lost),
        )


def _permissive_text(output: str, condition: str, reason: str, *, is_lost: bool) -> str:
    why = f": {reason}" if reason else ""
    if is_lost:
        return f"{output} can be turned on without {condition}{why}"
    return f"whether {output} is turned on only while {condition} cannot be told{why}"


def _drawings(old: SequenceResult, new: SequenceResult) -> Iterator[Change]:
    before, after = dict(old.drawings), dict(new.drawings)
    for name in (*after, *(name for name in before if name not in after)):
        if before.get(name) != after.get(name):
            how = "is new" if name not in before else "is gone" if name not in after else "looks different"
            yield _about_file(ChangeKind.DIAGRAM_CHANGED, new, f"the drawing '{name}' {how}")
