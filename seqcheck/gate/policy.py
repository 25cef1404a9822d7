"""What a team lets pass: which changes block, which warn, from when a lost margin counts, and what was waived until when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from fnmatch import fnmatchcase

from seqcheck.errors import Place
from seqcheck.gate.change import Change, ChangeKind
from seqcheck.gate.changes import Thresholds


class Level(Enum):
    """What a change means for the gate."""

    BLOCK = "blocks"
    WARN = "warns"
    NOTE = "note"
    WAIVED = "waived"


BLOCKING = frozenset(
    {
        ChangeKind.UNREADABLE,
        ChangeKind.NEWLY_VIOLATED,
        ChangeKind.NEWLY_VACUOUS,
        ChangeKind.NEWLY_UNDECIDED,
        ChangeKind.REMOVED,
        ChangeKind.WEAKENED,
        ChangeKind.INTERLOCK_LOST,
        ChangeKind.SEQUENCE_DELETED,
        ChangeKind.WAIVER_EXPIRED,
    }
)
"""What blocks unless a policy says otherwise."""

WARNING = frozenset(
    {
        ChangeKind.STILL_BROKEN,
        ChangeKind.MARGIN_LOST,
        ChangeKind.SLOWER,
        ChangeKind.PERHAPS_WEAKENED,
        ChangeKind.NOT_ASKED,
    }
)
"""What warns unless a policy says otherwise; all else is a note."""

ALWAYS_BLOCKING = frozenset({ChangeKind.UNREADABLE, ChangeKind.WAIVER_EXPIRED})
"""What no policy can let pass: nothing was judged there, or a promise has run out."""


USUAL_THRESHOLDS = Thresholds()


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """A change that somebody in the role `approver` lets pass until `expires` (that day included), for a reason.

    `changes` empty: every change of the requirement. `file`: a pattern with `*` and `?`; empty: every file.
    """

    requirement: str
    reason: str
    approver: str
    expires: date
    place: Place
    changes: frozenset[ChangeKind] = frozenset()
    file: str = ""

    def covers(self, change: Change) -> bool:
        """Whether it speaks of this change."""
        return (
            change.requirement == self.requirement
            and (not self.changes or change.kind in self.changes)
            and (not self.file or fnmatchcase(change.place.file, self.file))
        )

    def is_expired(self, today: date) -> bool:
        """Whether its last day has passed."""
        return today > self.expires


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A whole policy. `files`: files, folders or patterns that are judged where the command names none."""

    block: frozenset[ChangeKind] = BLOCKING
    warn: frozenset[ChangeKind] = WARNING
    thresholds: Thresholds = USUAL_THRESHOLDS
    waivers: tuple[Waiver, ...] = ()
    files: tuple[str, ...] = ()

    def level(self, kind: ChangeKind) -> Level:
        """What a change of this kind means, unless it is waived."""
        if kind in self.block or kind in ALWAYS_BLOCKING:
            return Level.BLOCK
        return Level.WARN if kind in self.warn else Level.NOTE
