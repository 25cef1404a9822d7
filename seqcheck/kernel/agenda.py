"""An agenda: the events that time will bring in a state. Many states share one, and so what is worked out about it."""

from __future__ import annotations

from seqcheck.kernel.event import Pending


class Agenda:
    """Pending events, those of the scan first, with their keys in that order and the row of each (from 1). Never changed.

    A network keeps one of each (see pending.py), so agendas are compared by identity.
    """

    __slots__ = ("_kept", "keys", "pending", "rows")

    def __init__(self, pending: tuple[Pending, ...]) -> None:
        """Number the events."""
        self.pending = pending
        self.keys = tuple(event.key for event in pending)
        self.rows = {key: number + 1 for number, key in enumerate(self.keys)}
        self._kept: dict[tuple[int, frozenset[int]], tuple[int, ...]] = {}

    def kept_after(self, fired: int, gone: frozenset[int]) -> tuple[int, ...]:
        """The keys that go on counting when the event `fired` has come and those in `gone` are pending no more."""
        known = self._kept.get((fired, gone))
        if known is None:
            known = tuple(key for key in self.keys if key != fired and key not in gone)
            self._kept[fired, gone] = known
        return known
