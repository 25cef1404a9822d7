"""The gate's verdict: each change with its level, and whether the whole may pass."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from seqcheck.errors import Place
from seqcheck.gate.change import Change, ChangeKind
from seqcheck.gate.changes import changes_between
from seqcheck.gate.policy import Level, Policy, Waiver
from seqcheck.gate.result import SequenceResult


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedChange:
    """A change and what it means. `waiver`: the one that lets it pass, or that no longer does."""

    change: Change
    level: Level
    waiver: Waiver | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FileVerdict:
    """One file: what it was, what it is, what changed. None: it is not in that revision."""

    file: str
    old: SequenceResult | None
    new: SequenceResult | None
    changes: tuple[JudgedChange, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GateVerdict:
    """The whole. `base` names what was compared with; `unused` are waivers that nothing needed; `of_policy`: changes that
    belong to no file."""

    base: str
    files: tuple[FileVerdict, ...]
    of_policy: tuple[JudgedChange, ...] = ()
    unused: tuple[Waiver, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def changes(self) -> tuple[JudgedChange, ...]:
        """Every change, in the order of files."""
        return (*(part for file in self.files for part in file.changes), *self.of_policy)

    def of_level(self, level: Level) -> tuple[JudgedChange, ...]:
        """The changes that mean this."""
        return tuple(part for part in self.changes if part.level is level)

    @property
    def is_unreadable(self) -> bool:
        """Whether some file could not be used."""
        return any(part.change.kind is ChangeKind.UNREADABLE for part in self.changes)

    @property
    def is_only_undecided(self) -> bool:
        """Whether all that blocks is that something was not decided."""
        blocking = self.of_level(Level.BLOCK)
        return bool(blocking) and all(_is_doubt(part.change) for part in blocking)


Pair = tuple[str, SequenceResult | None, SequenceResult | None]
"""Name of a file, its result in the base, its result now."""


def judge_changes(pairs: tuple[Pair, ...], policy: Policy, today: date, base: str, warnings: tuple[str, ...] = ()) -> GateVerdict:
    """The verdict on all files."""
    files = tuple(
        FileVerdict(
            file=file,
            old=old,
            new=new,
            changes=tuple(_judged(change, policy, today) for change in changes_between(old, new, policy.thresholds)),
        )
        for file, old, new in pairs
    )
    used = {part.waiver for file in files for part in file.changes if part.waiver is not None}
    expired = tuple(_expired(waiver) for waiver in policy.waivers if waiver.is_expired(today))
    return GateVerdict(
        base=base,
        files=files,
        of_policy=expired,
        unused=tuple(waiver for waiver in policy.waivers if waiver not in used and not waiver.is_expired(today)),
        warnings=warnings,
    )


def _judged(change: Change, policy: Policy, today: date) -> JudgedChange:
    level = policy.level(change.kind)
    waiver = next((part for part in policy.waivers if part.covers(change) and not part.is_expired(today)), None)
    if waiver is None or level is Level.NOTE:
        return JudgedChange(change=change, level=level)
    return JudgedChange(change=change, level=Level.WAIVED, waiver=waiver)


def _expired(waiver: Waiver) -> JudgedChange:
    place = Place(waiver.place.file, waiver.place.line, waiver.place.column)
    text = f"the waiver of {waiver.requirement} by {waiver.approver} ran out on {waiver.expires.isoformat()}: {waiver.reason}"
    change = Change(kind=ChangeKind.WAIVER_EXPIRED, place=place, requirement=waiver.requirement, text=text)
    return JudgedChange(change=change, level=Level.BLOCK, waiver=waiver)


def _is_doubt(change: Change) -> bool:
    return change.kind is ChangeKind.NEWLY_UNDECIDED or (change.kind is ChangeKind.STILL_BROKEN and change.new == "undecided")
