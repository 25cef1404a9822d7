"""What a revision changed in what is proven, as data: one change a line of the gate's verdict."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.errors import Place
from seqcheck.gate.result import KeptLine


class ChangeKind(Enum):
    """What kind of change. The value is its name in a policy."""

    UNREADABLE = "unreadable"
    NEWLY_VIOLATED = "newly violated"
    NEWLY_VACUOUS = "newly vacuous"
    NEWLY_UNDECIDED = "newly undecided"
    REMOVED = "removed"
    WEAKENED = "weakened"
    INTERLOCK_LOST = "interlock lost"
    SEQUENCE_DELETED = "sequence deleted"
    WAIVER_EXPIRED = "waiver expired"
    STILL_BROKEN = "still broken"
    MARGIN_LOST = "margin lost"
    SLOWER = "slower"
    PERHAPS_WEAKENED = "perhaps weakened"
    NOT_ASKED = "not asked"
    DIAGRAM_CHANGED = "diagram changed"
    REQUIREMENT_ADDED = "requirement added"
    SEQUENCE_ADDED = "sequence added"
    SEQUENCE_RENAMED = "sequence renamed"
    MENDED = "mended"
    FASTER = "faster"


MEANINGS: dict[ChangeKind, str] = {
    ChangeKind.UNREADABLE: "the file cannot be used",
    ChangeKind.NEWLY_VIOLATED: "a run breaks a requirement that no run of the base did",
    ChangeKind.NEWLY_VACUOUS: "a requirement is no longer put to the test",
    ChangeKind.NEWLY_UNDECIDED: "a requirement can no longer be decided",
    ChangeKind.REMOVED: "a requirement of the base is gone",
    ChangeKind.WEAKENED: "a requirement asks less than in the base",
    ChangeKind.INTERLOCK_LOST: "a permissive of the base no longer always holds when the output is turned on",
    ChangeKind.SEQUENCE_DELETED: "a sequence of the base is gone",
    ChangeKind.WAIVER_EXPIRED: "a waiver has passed its date",
    ChangeKind.STILL_BROKEN: "a requirement does not hold, and did not in the base",
    ChangeKind.MARGIN_LOST: "a worst value has come nearer to its limit",
    ChangeKind.SLOWER: "a cycle or a reaction takes longer at worst",
    ChangeKind.PERHAPS_WEAKENED: "a requirement was changed, and nobody can tell whether it asks less",
    ChangeKind.NOT_ASKED: "a permissive of the base cannot be asked of this revision",
    ChangeKind.DIAGRAM_CHANGED: "a drawing looks different",
    ChangeKind.REQUIREMENT_ADDED: "a requirement is new and holds",
    ChangeKind.SEQUENCE_ADDED: "a sequence is new",
    ChangeKind.SEQUENCE_RENAMED: "a sequence is in another file",
    ChangeKind.MENDED: "a requirement holds that did not in the base",
    ChangeKind.FASTER: "a cycle or a reaction takes less at worst",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change. `requirement` empty: it is about the whole file. `old`, `new`: values, where it is about one.

    `run` shows a violation.
    """

    kind: ChangeKind
    place: Place
    text: str
    requirement: str = ""
    old: str = ""
    new: str = ""
    run: tuple[KeptLine, ...] = ()
