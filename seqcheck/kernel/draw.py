"""The watch over a draw on the accumulator: the moments from which the web drawn follows exactly.

While the line runs and the unwind is not at line speed, web is drawn from the accumulator. With linear ramps, and the
unwind leaving line speed at t0, standing at t1, restarting at t2, back at speed at t3, the draw is
v/2 * ((t2 - t0) + (t3 - t1)). A line that ramps down from t2 and stands at t3 gives the same expression. Moments that did
not come as in that picture are replaced by ones that can only make the draw larger:
 - a ramp broken off: the unwind counts as standing from the start of its first ramp (t1 = t0);
 - unwind and line ramping at once: only the ramp that ends the draw counts;
 - a line already slowing at t0: it counts as slowing from t0.
What is replaced so is a bound, and so is a draw in which the line was not at speed when it began; the part says it (`is_whole`).
The start is judged on the *true* level: full, running level, or drawn (draws add until the level is truly back).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from seqcheck.kernel.condition import Test
from seqcheck.kernel.draw_part import FROM_FULL, FROM_RUNNING, MOST_CHAINED, DrawPart
from seqcheck.kernel.event import Mark, Pending
from seqcheck.kernel.state import State, WatchState
from seqcheck.kernel.watch import Glance, Noticed, Remembering


class DrawFacts(NamedTuple):
    """The tests of the devices that take part."""

    at_speed: Test
    standing: Test
    starting: Test
    line_at_speed: Test
    line_standing: Test
    line_slowing: Test
    full: Test
    at_running_level: Test


class DrawState(NamedTuple):
    """`level` is where the chain of draws began, `chain` how many draws it has had, the rest are yes or no.

    `stands`: the standstill age runs; `ramps`: the restart age runs; `slows`: the line's age runs; `broken`: a ramp was broken.
    `bounded`: something did not come as in the picture. `after_line`: the last draw ended with the line at standstill.
    """

    level: int = FROM_RUNNING
    chain: int = 0
    draws: int = 0
    stands: int = 0
    ramps: int = 0
    slows: int = 0
    broken: int = 0
    over: int = 0
    bounded: int = 0
    after_line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawWatch(Remembering):
    """Holds t0, t1, t2 (of the unwind, and of the line) as ages and marks the end of each draw."""

    index: int
    requirement: str
    facts: DrawFacts
    since_start: Pending
    since_stand: Pending
    since_restart: Pending
    since_line: Pending

    def start(self) -> WatchState:
        """No draw; the level is looked at when one begins."""
        return DrawState()

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """Follow the draw."""
        now = DrawState(*state)  # type: ignore[misc]
        marks: list[Mark] = []
        if now.draws and glance.over == self.since_start.key:
            marks.append(Mark(self.index, "over", draw=_part(now, by_line=False)))
            now = now._replace(over=1, stands=0, ramps=0, slows=0)
        drawing = not self.facts.at_speed(glance.after) and not self.facts.line_standing(glance.after)
        if now.draws and not drawing:
            return self._end(now, glance, marks)
        if not now.draws and drawing:
            return self._begin(now, glance)
        if now.draws and not now.over:
            now, restarted = self._follow(now, glance)
            return now, tuple(marks), restarted
        return (now if drawing else self._recover(now, glance)), tuple(marks), ()

    def _begin(self, now: DrawState, glance: Glance) -> Noticed:
        before = glance.before if glance.before is not None else glance.after
        if now.chain == 0:
            now = now._replace(level=FROM_FULL if self.facts.full(before) else FROM_RUNNING)
        now = now._replace(
            chain=min(now.chain + 1, MOST_CHAINED),
            draws=1,
            stands=int(self.facts.standing(glance.after)),
            ramps=int(self.facts.starting(glance.after)),
            slows=int(self.facts.line_slowing(glance.after)),
            bounded=int(not self._begins_whole(before, glance.after)),
        )
        return now, (Mark(self.index, "started", draw=_part(now, by_line=False)),), ()

    def _begins_whole(self, before: State, after: State) -> bool:
        """The unwind leaves line speed, and the line is at speed until now."""
        facts = self.facts
        line_is_steady = facts.line_at_speed(after) or (facts.line_slowing(after) and facts.line_at_speed(before))
        return facts.at_speed(before) and line_is_steady

    def _follow(self, now: DrawState, glance: Glance) -> tuple[DrawState, tuple[int, ...]]:
        restarted = []
        stands = now.stands or int(self.facts.standing(glance.after))
        ramps = int(self.facts.starting(glance.after))
        slows = int(self.facts.line_slowing(glance.after))
        broken = now.broken or int(ramps and not stands)
        if ramps and now.ramps and glance.before is not None and not self.facts.starting(glance.before):
            restarted.append(self.since_restart.key)
        line_is_known = slows or (self.facts.line_at_speed(glance.after) and not now.slows)
        is_whole = line_is_known and not (broken or restarted or (now.ramps and not ramps) or (ramps and slows))
        bounded = int(now.bounded or not is_whole)
        now = now._replace(stands=stands, ramps=ramps, slows=slows, broken=broken, bounded=bounded)
        return now, tuple(restarted)

    def _end(
        self, now: DrawState, glance: Glance, marks: list[Mark]
    ) -> Noticed:
        by_line = not self.facts.at_speed(glance.after)
        if not now.over:
            ramp = (self.since_line, now.slows) if by_line else (self.since_restart, now.ramps)
            ages = (
                self.since_start.key,
                self.since_stand.key if now.stands and not now.broken else self.since_start.key,
                ramp[0].key if ramp[1] else 0,
            )
            whole = now.stands and ramp[1] and not (now.ramps if by_line else now.slows)
            ended = now if whole else now._replace(bounded=1)
            marks.append(Mark(self.index, "drawn", ages, draw=_part(ended, by_line=by_line)))
        ended = DrawState(level=now.level, chain=now.chain, after_line=int(by_line))
        return self._recover(ended, glance), tuple(marks), ()

    def _recover(self, now: DrawState, glance: Glance) -> DrawState:
        if self.facts.full(glance.after) or self.facts.at_running_level(glance.after):
            return DrawState()
        return now

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """The ages that run."""
        now = DrawState(*state)  # type: ignore[misc]
        if not now.draws or now.over:
            return ()
        ages = ((1, self.since_start), (now.stands, self.since_stand), (now.ramps, self.since_restart))
        running = [age for runs, age in ages if runs]
        return tuple(running) + ((self.since_line,) if now.slows else ())


def _part(now: DrawState, *, by_line: bool) -> DrawPart:
    return DrawPart(now.level, now.chain, bool(now.after_line), by_line, not (now.broken or now.bounded))
