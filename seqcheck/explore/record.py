"""What a search found out for each monitor: whether it ever began, its worst and best values, its first violation."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.draw_part import FROM_FULL, DrawPart
from seqcheck.kernel.event import Mark
from seqcheck.kernel.observer import DrawMonitor, Monitor, StopwatchMonitor

Where = tuple[int, object]
"""A class of the search and the step (see node.py) out of it that was noticed; with None, starting state n."""


@dataclass(slots=True)
class Record:
    """What was noticed for one monitor. Mutable; owned by one search.

    `bad` is the first violation, `bad_kind` the mark that told. Values are microseconds; for a draw they are microseconds of web
    at line speed, by kind of draw.
    """

    monitor: Monitor
    length_us: int = 0
    started: Where | None = None
    started_cost: tuple[int, int] | None = None
    parts: set[int] = field(default_factory=set)
    bad: Where | None = None
    bad_cost: tuple[int, int] | None = None
    bad_kind: str = ""
    bad_value_us: int | None = None
    worst_us: int | None = None
    worst: Where | None = None
    worst_cost: tuple[int, int] | None = None
    best_us: int | None = None
    best: Where | None = None
    best_cost: tuple[int, int] | None = None
    over: Where | None = None
    over_cost: tuple[int, int] | None = None
    draws: dict[DrawPart, tuple[int, Where, tuple[int, int]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Know the length of the age, if there is one."""
        if isinstance(self.monitor, StopwatchMonitor | DrawMonitor):
            self.length_us = self.monitor.length_us

    def note(self, mark: Mark, measures: tuple[int, ...], where: Where, cost: tuple[int, int]) -> None:
        """Take in one mark of an edge, with what was measured for it. `cost` is operator acts and events up to it."""
        match mark.kind:
            case "part":
                self.parts.add(mark.part)
            case "started":
                self._begun(where, cost)
            case "bad":
                self._begun(where, cost)
                self._violated(where, cost, "bad", None)
            case "over":
                self._note_over(mark, where, cost)
            case "ended":
                self._note_duration(measures, where, cost)
            case "drawn":
                self._note_draw(mark, measures, where, cost)

    def _begun(self, where: Where, cost: tuple[int, int]) -> None:
        if self.started_cost is None or cost < self.started_cost:
            self.started, self.started_cost = where, cost

    def _violated(self, where: Where, cost: tuple[int, int], kind: str, value_us: int | None) -> None:
        if self.bad_cost is None or cost < self.bad_cost:
            self.bad, self.bad_cost, self.bad_kind, self.bad_value_us = where, cost, kind, value_us

    def _note_over(self, mark: Mark, where: Where, cost: tuple[int, int]) -> None:
        if self.over is None:
            self.over, self.over_cost = where, cost
        if isinstance(self.monitor, StopwatchMonitor) and self.monitor.at_most_us is not None:
            self._violated(where, cost, "over", None)
        if isinstance(self.monitor, DrawMonitor):
            self.draws.setdefault(mark.draw, (self.length_us, where, cost))
            if mark.draw.is_first:
                self._violated(where, cost, "over", None)

    def _note_duration(self, measures: tuple[int, ...], where: Where, cost: tuple[int, int]) -> None:
        longest_us = self.length_us + measures[0]
        shortest_us = self.length_us - measures[1]
        if self.worst_us is None or longest_us > self.worst_us:
            self.worst_us, self.worst, self.worst_cost = longest_us, where, cost
        if self.best_us is None or shortest_us < self.best_us:
            self.best_us, self.best, self.best_cost = shortest_us, where, cost
        assert isinstance(self.monitor, StopwatchMonitor)
        if shortest_us < self.monitor.at_least_us:
            self._violated(where, cost, "early", shortest_us)
        # Too late needs no note of its own: in the instant in which it ends too late, its limit may also pass first.

    def _note_draw(self, mark: Mark, measures: tuple[int, ...], where: Where, cost: tuple[int, int]) -> None:
        """The greatest a0 + a1 - a2 over the class: a transport problem with two ways, both measured; the lesser is exact."""
        assert isinstance(self.monitor, DrawMonitor)
        ages = 1 if mark.ages[2] else 2
        drawn_us = ages * self.length_us + min(measures[0] + measures[1], measures[2] + measures[3])
        known = self.draws.get(mark.draw)
        if known is None or drawn_us > known[0]:
            self.draws[mark.draw] = (drawn_us, where, cost)
        is_full = mark.draw.level == FROM_FULL
        budget_us = self.monitor.budget_us if is_full else self.monitor.budget_running_us
        # Of draws in a row only the sum counts, which is judged when all are known.
        if mark.draw.is_first and drawn_us > budget_us:
            self._violated(where, cost, "drawn", drawn_us)


def measures_of(mark: Mark) -> tuple[tuple[int, int], ...]:
    """The pairs of keys (0: the moment of firing) whose greatest difference a mark asks for."""
    if mark.kind == "ended":
        return ((0, mark.ages[0]), (mark.ages[0], 0))
    if mark.kind == "drawn":
        start, stand, restart = mark.ages
        return ((restart, start), (0, stand), (restart, stand), (0, start))
    return ()
