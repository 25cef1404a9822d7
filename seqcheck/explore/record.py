"""What a search found out for each monitor: whether it ever began, its worst and best values, its first violation."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.event import Mark
from seqcheck.kernel.observer import DrawMonitor, Monitor, StopwatchMonitor

Where = tuple[int, int]
"""A class of the search and a step out of it; (-1, n) is starting state n."""


@dataclass(slots=True)
class Record:
    """What was noticed for one monitor. Mutable; owned by one search.

    `bad` is the first violation, `bad_kind` the mark that told. Values are microseconds; for a draw they are microseconds of web
    at line speed, by part (level * 100 + chain * 10 + broken; see kernel/draw.py).
    """

    monitor: Monitor
    length_us: int = 0
    started: Where | None = None
    parts: set[int] = field(default_factory=set)
    bad: Where | None = None
    bad_kind: str = ""
    bad_value_us: int | None = None
    worst_us: int | None = None
    worst: Where | None = None
    best_us: int | None = None
    best: Where | None = None
    over: Where | None = None
    draws: dict[int, tuple[int, Where]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Know the length of the age, if there is one."""
        if isinstance(self.monitor, StopwatchMonitor | DrawMonitor):
            self.length_us = self.monitor.length_us

    def note(self, mark: Mark, measures: tuple[int, ...], where: Where) -> None:
        """Take in one mark of an edge, with what was measured for it."""
        match mark.kind:
            case "part":
                self.parts.add(mark.part)
            case "started":
                self.started = self.started or where
            case "bad":
                self.started = self.started or where
                self._violated(where, "bad", None)
            case "over":
                self._note_over(mark, where)
            case "ended":
                self._note_duration(measures, where)
            case "drawn":
                self._note_draw(mark, measures, where)

    def _violated(self, where: Where, kind: str, value_us: int | None) -> None:
        if self.bad is None:
            self.bad, self.bad_kind, self.bad_value_us = where, kind, value_us

    def _note_over(self, mark: Mark, where: Where) -> None:
        self.over = self.over or where
        if isinstance(self.monitor, StopwatchMonitor) and self.monitor.at_most_us is not None:
            self._violated(where, "over", None)
        if isinstance(self.monitor, DrawMonitor):
            self.draws.setdefault(mark.part, (self.length_us, where))
            self._violated(where, "over", None)

    def _note_duration(self, measures: tuple[int, ...], where: Where) -> None:
        longest_us = self.length_us + measures[0]
        shortest_us = self.length_us - measures[1]
        if self.worst_us is None or longest_us > self.worst_us:
            self.worst_us, self.worst = longest_us, where
        if self.best_us is None or shortest_us < self.best_us:
            self.best_us, self.best = shortest_us, where
        assert isinstance(self.monitor, StopwatchMonitor)
        if shortest_us < self.monitor.at_least_us:
            self._violated(where, "early", shortest_us)
        if self.monitor.at_most_us is not None and longest_us > self.monitor.at_most_us:
            self._violated(where, "late", longest_us)

    def _note_draw(self, mark: Mark, measures: tuple[int, ...], where: Where) -> None:
        """The greatest a0 + a1 - a2 over the class: a transport problem with two ways, both measured; the lesser is exact."""
        assert isinstance(self.monitor, DrawMonitor)
        ages = 1 if mark.ages[2] else 2
        drawn_us = ages * self.length_us + min(measures[0] + measures[1], measures[2] + measures[3])
        known = self.draws.get(mark.part)
        if known is None or drawn_us > known[0]:
            self.draws[mark.part] = (drawn_us, where)
        level, chain = mark.part // 100, mark.part // 10 % 10
        budget_us = self.monitor.budget_running_us if level else self.monitor.budget_us
        if chain > 1 or drawn_us > budget_us:
            self._violated(where, "drawn", drawn_us)


def measures_of(mark: Mark) -> tuple[tuple[int, int], ...]:
    """The pairs of keys (0: the moment of firing) whose greatest difference a mark asks for."""
    if mark.kind == "ended":
        return ((0, mark.ages[0]), (mark.ages[0], 0))
    if mark.kind == "drawn":
        start, stand, restart = mark.ages
        return ((restart, start), (0, stand), (restart, stand), (0, start))
    return ()
