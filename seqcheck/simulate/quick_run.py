"""A run that goes from event to event: reads that change nothing are passed over by arithmetic.

The same meaning as simulate.py, which takes every read one by one; `tests/simulate/test_quick_run.py` holds the two against each
other. Nothing fails by chance here; who acts, and what fails when, is a script.
"""

from __future__ import annotations

from collections.abc import Callable

from seqcheck.kernel.event import WRITE, Cause, Pending
from seqcheck.simulate.interventions import Intervention
from seqcheck.simulate.physics import Physics
from seqcheck.simulate.scan_times import ScanTimes
from seqcheck.simulate.state_graph import Link, Node, StateGraph

Due = Callable[[int, int | None], int | None]
"""When an event with this earliest and latest time (absolute) fires; None: it does not, as nothing forces it."""


class QuickRun:
    """A run under way. Mutable; owned by whoever steps it. Begins at time 0, right after a read.

    `links` are the links taken, with their times. `disagreements` say where the physics left the ranges of the sequence.
    """

    def __init__(
        self,
        graph: StateGraph,
        node: Node,
        due: Due,
        scans: ScanTimes,
        physics: Physics | None = None,
        script: tuple[Intervention, ...] = (),
    ) -> None:
        """Everything pending in `node` has just become so."""
        self.graph = graph
        self.node = node
        self.due = due
        self.scans = scans
        self.physics = physics
        self.script = sorted(script, key=lambda item: item.time_us)
        self.now_us = 0
        self.next_read = 0
        self.since_us: dict[int, int] = {}
        self.plans: dict[int, tuple[int, int | None]] = {}
        self.links: list[tuple[int, Link]] = []
        self.missed: list[str] = []
        self.disagreements: list[str] = []
        self.watched_keys = self._owned_keys()
        self._begin_pending(frozenset())

    def _owned_keys(self) -> frozenset[int]:
        return frozenset() if self.physics is None else owned_keys(self.physics)

    def step(self) -> Link | None:
        """Let the next thing happen; None: nothing comes any more."""
        event, due_us = self._next_event()
        read_us = self._read_us(due_us)
        if self.script and self._acts_first(due_us, read_us):
            return self._act()
        if read_us is not None and (due_us is None or read_us < due_us):
            return self._read(read_us)
        if event is None or due_us is None:
            return None
        link = self.graph.fire(self.node, event)
        if event.key == WRITE:
            self._delay_reads(due_us)
        self.plans.pop(event.key, None)
        return self._take(link, due_us)

    def _acts_first(self, due_us: int | None, read_us: int | None) -> bool:
        act_us = self.script[0].time_us
        return (due_us is None or act_us <= due_us) and (read_us is None or act_us <= read_us)

    # -- what is due -----------------------------------------------------------------------------------------

    def _next_event(self) -> tuple[Pending | None, int | None]:
        """The pending event that fires first; a write comes after other events of the same time."""
        found: Pending | None = None
        found_us: int | None = None
        for event in self.node.pending:
            time_us = self._planned_us(event)
            if time_us is None:
                continue
            if found_us is None or time_us < found_us or (time_us == found_us and found.key == WRITE):  # type: ignore[union-attr]
                found, found_us = event, time_us
        return found, found_us

    def _planned_us(self, event: Pending) -> int | None:
        key = event.key
        if key in self.watched_keys:
            return self._physical_us(event)
        return self.plans[key][1]

    def _physical_us(self, event: Pending) -> int | None:
        assert self.physics is not None
        since_us = self.since_us[event.key]
        due_us, note = within(self.physics.due_us(event.key), event, since_us, self.now_us)
        if note and note not in self.disagreements:
            self.disagreements.append(f"{' '.join(self.graph.network.event_names[event.key])} {note}")
        return due_us

    def _read_us(self, due_us: int | None) -> int | None:
        """When the next read comes that changes something (or that waits for outputs); None: no read does."""
        if self.graph.network.options.controller_fault or self.graph.read(self.node) is None:
            return None
        if self.node.writes:
            return None if due_us is None else max(self.scans.at(self.next_read), due_us + 1)
        self.next_read = max(self.next_read, self.scans.first_from(self.now_us))
        return self.scans.at(self.next_read)

    # -- what happens ----------------------------------------------------------------------------------------

    def _act(self) -> Link | None:
        wanted = self.script.pop(0)
        time_us = max(wanted.time_us, self.now_us)
        link = self.graph.act(self.node, wanted)
        self.now_us = time_us
        if link is None:
            self.missed.append(wanted.text)
            return self.step()
        return self._take(link, time_us)

    def _read(self, read_us: int) -> Link:
        link = self.graph.read(self.node)
        assert link is not None
        self.next_read += 1
        return self._take(link, read_us)

    def _delay_reads(self, written_us: int) -> None:
        """A read that waited for the write comes right after it, and those that follow are later by as much."""
        late_us = written_us - self.scans.at(self.next_read)
        if late_us > 0:
            self.scans.delay_us += late_us

    def _take(self, link: Link, time_us: int) -> Link:
        self.now_us = time_us
        self.node = link.target
        self.links.append((time_us, link))
        if self.physics is not None and link.target.view is not self.physics.view:
            assert link.target.view is not None
            self.physics.take(link.target.view, time_us)
        self._begin_pending(link.kept)
        return link

    def _begin_pending(self, kept: frozenset[int]) -> None:
        since_us, now_us, plans, owned = self.since_us, self.now_us, self.plans, self.watched_keys
        self.since_us = began = {}
        for event in self.node.pending:
            key = event[0]
            began_us = since_us.get(key, now_us) if key in kept else now_us
            began[key] = began_us
            if key not in owned and ((plan := plans.get(key)) is None or plan[0] != began_us):
                plans[key] = (began_us, self._drawn(event, began_us))

    def _drawn(self, event: Pending, began_us: int) -> int | None:
        latest_us = None if event.latest_us is None else began_us + event.latest_us
        if event.key == WRITE and latest_us is not None:
            latest_us = min(latest_us, self._latest_read_us())
        return self.due(began_us + event.earliest_us, latest_us)

    def _latest_read_us(self) -> int:
        """The latest time of the read after the one that has just computed outputs."""
        return self.now_us + self.graph.network.longest_period_us


def owned_keys(physics: Physics) -> frozenset[int]:
    """The events whose times the physics gives: ends of ramps, levels of the accumulator."""
    data = physics.data
    ramps = {ramp.key for drive in data.drives for ramp in drive.ramps if ramp is not None}
    arrivals = {key for part in data.decurlers for key in part.keys if key is not None}
    arrivals |= {key for part in data.guides for key in part.keys if key is not None}
    return frozenset(ramps | arrivals | set(data.accumulator.keys if data.accumulator else ()))


def within(due_us: int | None, event: Pending, since_us: int, now_us: int) -> tuple[int | None, str]:
    """The time of an event as the physics has it, but inside its range; and how far outside it was, if it was.

    One microsecond is what rounding may do, and is no disagreement.
    """
    earliest_us = since_us + event.earliest_us
    latest_us = None if event.latest_us is None else since_us + event.latest_us
    if due_us is None:
        if latest_us is None:
            return None, ""
        return latest_us, f"does not come about in the physics, but by {latest_us / 1e6:.6f} s in the sequence"
    due_us = max(due_us, now_us)
    if due_us < earliest_us - 1:
        return earliest_us, f"comes at {due_us / 1e6:.6f} s, before {earliest_us / 1e6:.6f} s, its earliest"
    if latest_us is not None and due_us > latest_us + 1:
        return latest_us, f"comes at {due_us / 1e6:.6f} s, after {latest_us / 1e6:.6f} s, its latest"
    due_us = max(due_us, earliest_us)
    return (due_us if latest_us is None else min(due_us, latest_us)), ""


def is_read(link: Link) -> bool:
    """Whether a read of the controller did it."""
    return link.edge.event.cause is Cause.READ
