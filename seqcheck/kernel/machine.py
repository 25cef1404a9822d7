"""A device or circuit as the kernel runs it: numbered positions, and tables of what leads where.

Positions of all modes are numbered together. A failure in a position leads to its counterpart in the failed mode. It is
*quiet* if nothing shows at once and nothing new can happen there; only then may the search put it off until an
event of the device would go otherwise because of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from seqcheck.kernel.condition import Test
from seqcheck.kernel.event import Pending


class DrivenMove(NamedTuple):
    """Happens at once when the drives, masked by `mask`, equal `value`."""

    mask: int
    value: int
    target: int
    label: str


class TimedMove(NamedTuple):
    """Pending while the drives, masked, equal `value`."""

    mask: int
    value: int
    target: int
    label: str
    pending: Pending


class FreeMove(NamedTuple):
    """Somebody's act; possible while the drives, masked, equal `value`."""

    mask: int
    value: int
    target: int
    act: str
    by_operator: bool


class BodyFailure(NamedTuple):
    """In this position failure `failure` (index in the network) leads to `target`; `is_quiet` as explained above."""

    failure: int
    target: int
    is_quiet: bool


class Place(NamedTuple):
    """One position in one mode, in numbers."""

    label: str
    mode: str
    signals: int
    driven: tuple[DrivenMove, ...]
    timed: tuple[TimedMove, ...]
    free: tuple[FreeMove, ...]
    failures: tuple[BodyFailure, ...]
    repair: int | None
    is_rest: bool


class Instead(NamedTuple):
    """What a quiet failure makes of a move: the device is at `target` instead, or a contact hides the change."""

    failure: int
    target: int
    stuck_on: int
    stuck_off: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A device or circuit. `drives` are the tests of its drive roles; drive values are bit masks in that order."""

    index: int
    name: str
    places: tuple[Place, ...]
    initial: int
    drives: tuple[Test, ...]
    facts: dict[str, frozenset[int]]
    moving: frozenset[int]
    contact_failures: dict[int, tuple[int | None, int | None]]
    """For each signal bit: failure index of stuck on, of stuck off."""
    quiet_origins: dict[tuple[int, int], tuple[int, ...]]
    """For a failure and a failed position: the sound positions from which that failure leads there without showing."""

    def drive_value(self, view: object) -> int:
        """The drives now, as a bit mask."""
        value = 0
        for bit, test in enumerate(self.drives):
            if test(view):  # type: ignore[arg-type]
                value |= 1 << bit
        return value

    def instead(self, source: int, target: int, key: str) -> tuple[Instead, ...]:
        """What quiet failures make of the move `key` from `source` to `target`."""
        return (*self._body_instead(source, target, key), *self._contact_instead(source, target))

    def _body_instead(self, source: int, target: int, key: str) -> list[Instead]:
        found = []
        after_failures = {failure.failure: failure.target for failure in self.places[target].failures}
        for failure in self.places[source].failures:
            if not failure.is_quiet:
                continue
            counterpart = after_failures.get(failure.failure)
            actual = self._failed_target(failure.target, key)
            if actual != counterpart or self._shows_otherwise(actual, target):
                found.append(Instead(failure.failure, actual, 0, 0))
        return found

    def _failed_target(self, failed: int, key: str) -> int:
        place = self.places[failed]
        ways = [(move.label, move.target) for move in place.driven]
        ways += [(move.label, move.target) for move in place.timed]
        ways += [(move.act, move.target) for move in place.free]
        return next((target for label, target in ways if label == key), failed)

    def _shows_otherwise(self, failed: int, target: int) -> bool:
        if self.places[failed].signals != self.places[target].signals:
            return True
        return any((failed in holders) != (target in holders) for holders in self.facts.values())

    def _contact_instead(self, source: int, target: int) -> list[Instead]:
        changed = self.places[source].signals ^ self.places[target].signals
        found = []
        for bit, (stuck_on, stuck_off) in self.contact_failures.items():
            if not changed & bit:
                continue
            was_on = bool(self.places[source].signals & bit)
            failure = stuck_on if was_on else stuck_off
            if failure is not None:
                found.append(Instead(failure, target, bit if was_on else 0, 0 if was_on else bit))
        return found
