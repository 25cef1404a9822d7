"""One run in which everything left open is a drawn number: who does what and when, what fails, how times and reads fall.

A smaller number is a simpler choice: no further act, the earliest time, the roundest moment. Whoever shrinks the numbers
shrinks the run. Reads that change nothing are placed only once it is known which read comes next that may change something.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from seqcheck.kernel.choices import changes
from seqcheck.kernel.event import READ, WRITE, Cause, Edge
from seqcheck.kernel.fire import with_watches
from seqcheck.kernel.network import ANYTHING, Network
from seqcheck.kernel.pending import ages_pending
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.kernel.start import Start
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Given, Hypothesis
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.simulate.edges import read_edges, result_of_read, timed_edges
from seqcheck.simulate.measures import Noticed
from seqcheck.simulate.read_placing import Periods, Stretch, idle_reads, idle_reads_until, stretches_of_next
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.running import OvershotError, Running, Window, begin, is_idle
from seqcheck.simulate.stage import Stage

UNITS_US = (1_000_000, 100_000, 10_000, 1_000)
"""Acts and failures come at whole multiples of these, the roundest first."""

LONGEST_WAIT = 6
"""Steps entered that are waited for before the next act, and multiples of a unit, less one."""


class Numbers(Protocol):
    """Where the numbers come from."""

    def __call__(self, count: int) -> int:
        """A number from 0 to count - 1."""


NO_FAULT = Hypothesis()


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """What may happen in a run: failures and acts as in a requirement, and how far it may go."""

    hypothesis: Hypothesis = NO_FAULT
    given: Given = ANYTHING
    most_acts: int = 16
    most_events: int = 250
    until_us: int = 120 * MICROSECONDS_PER_SECOND


Enough = Callable[[Noticed], bool]

MOST_FINE = 60
"""Times in one run that are drawn each by itself: fewer numbers shrink better."""

def drawn_run(stage: Stage, start: Start, allowed: Allowed, numbers: Numbers, enough: Enough) -> Run:
    """A run on a stage; it ends as soon as something is noticed that is `enough`."""
    drawing = _Drawing(stage, stage.core, begin(stage.network, start), allowed, numbers, enough)
    stop, note = drawing.run()
    drawing.place_last()
    running = drawing.running
    return Run(
        schedule=running.schedule(),
        noticed=tuple(running.noticed),
        stop=stop,
        end_us=running.now_us,
        note=note,
    )


@dataclass(slots=True)
class _Drawing:
    """A run being drawn. Mutable; owned by `drawn_run`. `armed`: failures that happen as soon as they make a difference."""

    stage: Stage
    core: Network
    running: Running
    allowed: Allowed
    numbers: Numbers
    enough: Enough
    plans: dict[int, tuple[int, int | None]] = field(default_factory=dict)
    read_us: int | None = None
    armed: set[int] = field(default_factory=set)
    failed: set[int] = field(default_factory=set)
    acts_left: int = 0
    waits_for: int = 0
    next_act_us: int | None = None
    time_style: int = 0
    read_style: int = 0
    told: int = 0
    drawn: int = 0

    def run(self) -> tuple[RunStop, str]:
        """Draw to the end."""
        self.acts_left = self.numbers(self.allowed.most_acts + 1)
        self.time_style, self.read_style = self.numbers(5), self.numbers(4)
        try:
            self._plan_act()
            self._plan_read()
            return self._go_on(), ""
        except InstantLoopError as loop:
            return RunStop.INSTANT_LOOP, str(loop)
        except OvershotError as overshot:
            return RunStop.TIME_LOCK, str(overshot)

    def _go_on(self) -> RunStop:
        for _ in range(self.allowed.most_events):
            if self._has_enough():
                return RunStop.ENOUGH
            if not self._step():
                return RunStop.QUIET
            if self.running.now_us >= self.allowed.until_us:
                return RunStop.UNTIL
        return RunStop.EVENTS

    def _has_enough(self) -> bool:
        fresh = self.running.noticed[self.told :]
        self.told += len(fresh)
        return any(self.enough(item) for item in fresh)

    # -- what comes next -------------------------------------------------------------------------------------

    def _step(self) -> bool:
        """Do what is due first; False if nothing is left."""
        due = self._next_due()
        if self.waits_for and due is None:
            self._set_act_time()
        act_us = self.next_act_us
        if act_us is not None and (due is None or act_us <= due[0]):
            self._advance(max(act_us, self.running.now_us))
            self._interfere()
        elif due is None:
            return False
        else:
            self._advance(max(due[0], self.running.now_us))
            self._fire(due[1])
        self._fail_if_it_shows()
        if self.read_us is None:
            self._plan_read()
        return True

    def _advance(self, to_us: int) -> None:
        """Let time pass. While no read is planned, every read so far is one that changes nothing, placed later."""
        if self.read_us is None:
            real_us, self.running.last_read_us = self.running.last_read_us, to_us
            self.running.advance(to_us)
            self.running.last_read_us = real_us
        else:
            self.running.advance(to_us)

    def _next_due(self) -> tuple[int, Window | None] | None:
        due: list[tuple[int, int, int, Window | None]] = []
        for order, window in enumerate(self.running.windows()):
            time_us = self._planned(window)
            if time_us is not None:
                due.append((time_us, 0, order, window))
        if self.read_us is not None:
            due.append((self.read_us, 1, 0, None))
        first = min(due, key=lambda item: item[:3], default=None)
        return None if first is None else (first[0], first[3])

    def _planned(self, window: Window) -> int | None:
        key = window.event.key
        since_us = self.running.since_us[key]
        plan = self.plans.get(key)
        if plan is None or plan[0] != since_us:
            latest_us = window.latest_us
            if key == WRITE and latest_us is not None and self.read_us is not None:
                latest_us = max(window.earliest_us, min(latest_us, self.read_us))
            plan = self.plans[key] = (since_us, self._due_us(window.earliest_us, latest_us))
        return plan[1]

    def _due_us(self, earliest_us: int, latest_us: int | None) -> int | None:
        if latest_us is None:
            return earliest_us + self.numbers(10) * MICROSECONDS_PER_SECOND if self.numbers(4) else None
        if earliest_us == latest_us or self.time_style == 0:
            return earliest_us
        if self.time_style == 1 or not self._is_fine():
            return latest_us
        return self._drawn_between(earliest_us, latest_us)

    def _is_fine(self) -> bool:
        """Whether one more time is drawn by itself; in a long run, the later ones are as late as may be."""
        self.drawn += 1
        return self.drawn <= MOST_FINE

    def _drawn_between(self, earliest_us: int, latest_us: int) -> int:
        end = self.numbers(4)
        if end < 2:
            return latest_us if end else earliest_us
        whole = (latest_us - earliest_us) // 1_000
        return earliest_us + 1_000 * self.numbers(whole + 1)

    # -- reads -----------------------------------------------------------------------------------------------

    def _plan_read(self) -> None:
        """Plan the next read if it may change something; else leave open when it comes."""
        running = self.running
        if not running.has_reads:
            return
        is_writing = running.writes_first()
        if not is_writing and not changes(running.state, result_of_read(self.core, running.state)):
            return
        least_us = self._write_by_us() if is_writing else running.now_us
        possible = stretches_of_next(self._periods(), running.last_read_us, running.now_us, least_us)
        next_us = self._drawn_read_us(possible)
        self._place(idle_reads(self._periods(), running.last_read_us, running.now_us, next_us))
        self.read_us = next_us

    def _place(self, idle_us: tuple[int, ...]) -> None:
        if idle_us:
            self.running.idle_reads_us.extend(idle_us)
            self.running.last_read_us = idle_us[-1]

    def place_last(self) -> None:
        """The reads up to the end of a run that ends while they change nothing."""
        if self.running.has_reads and self.read_us is None:
            running = self.running
            self._place(idle_reads_until(self._periods(), running.last_read_us, running.now_us))

    def _write_by_us(self) -> int:
        windows = [window for window in self.running.windows() if window.event.key == WRITE]
        return max(self._planned(window) or 0 for window in windows)

    def _periods(self) -> Periods:
        return Periods(self.core.shortest_period_us, self.core.longest_period_us)

    def _drawn_read_us(self, possible: tuple[Stretch, ...]) -> int:
        """Regular reads a longest period apart, or as late as may be, or anywhere."""
        if self.read_style == 0:
            return _rounded(possible[0])
        if self.read_style == 1 or not self._is_fine():
            return _rounded(possible[-1])
        chosen = possible[self.numbers(len(possible)) if len(possible) > 1 else 0]
        end = self.numbers(5)
        if end < 3:
            return (_rounded(chosen), chosen.first_us, chosen.last_us)[end]
        return _rounded(chosen, 1_000 * self.numbers((chosen.last_us - chosen.first_us) // 1_000 + 1))

    # -- what happens ----------------------------------------------------------------------------------------

    def _fire(self, window: Window | None) -> None:
        running = self.running
        key = READ if window is None else window.event.key
        before = running.state
        edge = self.stage.edge((before, key, frozenset(self.armed)), lambda: self._found(window))
        if window is None:
            self.read_us = None
            if is_idle(edge, before):
                running.read_idly()
                return
        else:
            self.plans.pop(key, None)
        self._take(edge)

    def _found(self, window: Window | None) -> Edge:
        """What an event comes to, monitors included; with the failure that is to come, if it makes a difference."""
        allowed = frozenset(self.armed)
        if window is None:
            return self._watched(_failing(read_edges(self.core, self._state(), allowed, int(bool(allowed)))))
        if window.event.key in self._ages():
            return timed_edges(self.running.network, self.running.state, window.event)[0]
        return self._watched(_failing(timed_edges(self.core, self._state(), window.event, allowed)))

    def _watched(self, edge: Edge) -> Edge:
        return with_watches(self.running.network, self.running.state, edge, self._ages())

    def _ages(self) -> frozenset[int]:
        """The keys of the monitors' limits that count down."""
        return frozenset(age.key for age in ages_pending(self.running.network, self.running.state.watch))

    def _state(self) -> State:
        """The state without what the monitors remember."""
        return self.running.state._replace(watch=())

    def _take(self, edge: Edge) -> None:
        self.running.take(edge)
        for name in edge.event.faults:
            mode = self.core.failure_named(name)
            if mode is not None:
                self.armed.discard(mode.index)
        if edge.entered and self.waits_for:
            self.waits_for -= 1
            if not self.waits_for:
                self._set_act_time()

    def _fail_if_it_shows(self) -> None:
        """A failure that is to come and would show now, happens now."""
        if not self.armed:
            return
        for edge in self._free_edges(frozenset(self.armed)):
            if edge.event.cause is Cause.FAULT and edge.event.faults:
                self._take(self._watched(edge))
                return

    # -- acts and failures -----------------------------------------------------------------------------------

    def _plan_act(self) -> None:
        self.next_act_us, self.waits_for = None, 0
        if self.acts_left == 0:
            return
        self.acts_left -= 1
        self.waits_for = self.numbers(LONGEST_WAIT)
        if not self.waits_for:
            self._set_act_time()

    def _set_act_time(self) -> None:
        self.waits_for = 0
        unit_us = UNITS_US[self.numbers(len(UNITS_US))]
        rounded_us = -(-self.running.now_us // unit_us) * unit_us
        self.next_act_us = rounded_us + unit_us * self.numbers(LONGEST_WAIT)

    def _interfere(self) -> None:
        kind = self.numbers(4)
        if kind == 3 and self._arm():
            self._plan_act()
            return
        acts = self._acts()
        telling = [edge for edge in acts if self._tells(edge)] if kind < 2 else []
        choice = telling or acts
        if choice:
            edge = choice[self.numbers(len(choice))]
            self._take(self._watched(self._instead(edge)))
        self._plan_act()

    def _arm(self) -> bool:
        """Let a failure of those allowed come; False if no more may."""
        hypothesis = self.allowed.hypothesis
        if len(self.failed) >= hypothesis.count:
            return False
        modes = [
            mode.index
            for mode in self.core.failures
            if mode.index not in self.failed and (not hypothesis.named or mode.name in hypothesis.named)
        ]
        if not modes:
            return False
        chosen = modes[self.numbers(len(modes))]
        self.failed.add(chosen)
        self.armed.add(chosen)
        return True

    def _acts(self) -> list[Edge]:
        """What somebody may do now, and what comes and goes by itself."""
        return [edge for edge in self._free_edges(again=self._returning()) if self._is_allowed(edge)]

    def _free_edges(
        self, allowed: frozenset[int] = frozenset(), again: frozenset[int] = frozenset()
    ) -> tuple[Edge, ...]:
        return self.stage.free_edges(self._state(), allowed, again)

    def _returning(self) -> frozenset[int]:
        modes = (self.core.failures[index] for index in self.failed - self.armed)
        return frozenset(mode.index for mode in modes if mode.is_intermittent)

    def _is_allowed(self, edge: Edge) -> bool:
        given = self.allowed.given
        devices = {device for device, _ in edge.event.acts}
        if devices & {device for device, _ in given.still}:
            return False
        return given.allowed is None or devices <= set(given.allowed)

    def _tells(self, edge: Edge) -> bool:
        """Whether the controller would do something about it at once."""
        state = edge.target
        return self.running.has_reads and changes(state, result_of_read(self.core, state, state.signals))

    def _instead(self, wanted: Edge) -> Edge:
        """The same act with the failure that is to come, if that makes it go otherwise."""
        if not self.armed:
            return wanted
        same = [
            edge
            for edge in self._free_edges(frozenset(self.armed))
            if edge.event._replace(faults=()) == wanted.event._replace(faults=())
        ]
        return _failing(tuple(same) or (wanted,))


def _rounded(stretch: Stretch, sooner_us: int = 0) -> int:
    """So much before the end of a stretch, in whole milliseconds if it has any there."""
    return max(stretch.first_us, (stretch.last_us - sooner_us) // 1_000 * 1_000)


def _failing(edges: tuple[Edge, ...]) -> Edge:
    """The first outcome in which something fails, else the healthy one."""
    return next((edge for edge in edges if edge.event.faults), edges[0])
