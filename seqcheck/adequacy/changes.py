"""All changes of a sequence, in the order of the file's parts."""

from __future__ import annotations

from seqcheck.adequacy.change import Change, ChangeKind
from seqcheck.adequacy.change_actions import action_changes
from seqcheck.adequacy.change_conditions import condition_changes
from seqcheck.adequacy.change_ranges import range_changes
from seqcheck.adequacy.change_watchdogs import watchdog_changes
from seqcheck.adequacy.change_ways import priority_changes, target_changes
from seqcheck.language.sequence import Sequence


def changes_of(sequence: Sequence, kinds: tuple[ChangeKind, ...] = ()) -> tuple[Change, ...]:
    """Every change, or those of some kinds; the same file gives the same changes in the same order."""
    found = (
        *condition_changes(sequence),
        *priority_changes(sequence),
        *target_changes(sequence),
        *watchdog_changes(sequence),
        *action_changes(sequence),
        *range_changes(sequence),
    )
    return tuple(change for change in found if not kinds or change.kind in kinds)
