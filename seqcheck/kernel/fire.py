"""Firing: from a state and an event to the states that follow.

`successors` gives every edge out of a state: pending events, and free ones (acts, failures, repairs, reads that see a chosen
input). One instant may have several outcomes, because a quiet failure may make a move go otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from seqcheck.kernel.choices import changes, read_choices
from seqcheck.kernel.event import FREE, READ, WRITE, Cause, Edge, Event, Pending
from seqcheck.kernel.machine import FreeMove, Machine
from seqcheck.kernel.memory import TIMER_EXPIRED
from seqcheck.kernel.network import Network, ReadChoice
from seqcheck.kernel.pending import ages_pending, core_pending, is_blocked
from seqcheck.kernel.repair import repair, repair_for_procedure
from seqcheck.kernel.settle import Work, move_machine, raw_signals, settle, settled_plant
from seqcheck.kernel.settled import finished_state, watched, with_demand
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, State
from seqcheck.kernel.watch import Glance

Entered = tuple[tuple[int, int], ...]


def successors(
    network: Network,
    state: State,
    allowed: frozenset[int] = frozenset(),
    budget: int = 0,
    again: frozenset[int] = frozenset(),
) -> tuple[Edge, ...]:
    """Every edge out of `state`, with at most `budget` new failures of those `allowed` in the instant.

    Intermittent failures in `again` have happened before and may return at no cost.
    """
    edges = core_successors(network, state, allowed, budget, again)
    if not network.watches:
        return edges
    ages = {pending.key for pending in ages_pending(network, state.watch)}
    passing = [edge for key in ages for edge in _age_passes(network, state, key)]
    return tuple(with_watches(network, state, edge, ages) for edge in (*edges, *passing))


def core_successors(
    network: Network,
    state: State,
    allowed: frozenset[int] = frozenset(),
    budget: int = 0,
    again: frozenset[int] = frozenset(),
) -> tuple[Edge, ...]:
    """The same for controller and machine alone: watches stay as they are, and no age passes."""
    return Firing(network, state, allowed, budget, again).edges()


def _age_passes(network: Network, state: State, key: int) -> Iterator[Edge]:
    subject, moment = network.event_names[key]
    kept = tuple(event.key for event in core_pending(network, state))
    yield Edge(Event(Cause.AGE, key, subject, moment), state, kept, (), ())


def with_watches(network: Network, state: State, edge: Edge, ages: Collection[int]) -> Edge:
    """`edge` with the watches brought up to date; `ages` are the keys of those that count down in `state`."""
    is_read = edge.event.cause is Cause.READ
    over = edge.event.key if edge.event.cause is Cause.AGE else 0
    glance = Glance(state, edge.target, edge.entered, is_read, over)
    target, marks, restarted = watched(network, edge.target._replace(watch=state.watch), glance)
    kept = edge.kept
    if ages:
        still = {pending.key for pending in ages_pending(network, target.watch)} - restarted - {edge.event.key}
        kept = (*kept, *(key for key in sorted(ages) if key in still))
    return edge._replace(target=target, kept=kept, marks=marks)


def possible_acts(network: Network, state: State) -> tuple[tuple[Machine, FreeMove], ...]:
    """Who can do what now. Only an operator's beginning of a procedure depends on the controller's memory."""
    identity = (state.plant, state.written, state.signals & network.driving_signals)
    known = network.memo.acts.get(identity) if network.operator is None else None
    if known is None:
        known = network.memo.acts[identity] = tuple(_find_acts(network, state))
    return known


def _find_acts(network: Network, state: State) -> Iterator[tuple[Machine, FreeMove]]:
    for machine in network.acting:
        free = machine.places[state.plant[machine.index]].free
        value = machine.drive_value(state) if any(move.mask for move in free) else 0
        for move in free:
            if value & move.mask == move.value:
                yield machine, move


class Firing:
    """All firings out of one state. It keeps what they share; nothing outlives it."""

    def __init__(
        self,
        network: Network,
        state: State,
        allowed: frozenset[int] = frozenset(),
        budget: int = 0,
        again: frozenset[int] = frozenset(),
    ) -> None:
        """Prepare the firings of `state`; the parameters are those of `successors`."""
        self.network = network
        self.state = state
        self.allowed = allowed
        self.is_recovering = network.operator is not None and state.plant[network.operator] != 0
        self.budget = budget if allowed and not self.is_recovering else 0
        self.again = again if not self.is_recovering else frozenset()
        self.is_plain = self.budget == 0 and not self.again
        self.pending = core_pending(network, state)
        self.order = tuple(event.key for event in self.pending)

    def edges(self) -> tuple[Edge, ...]:
        """Every edge, in a fixed order: pending events first, then what may come at any time."""
        return tuple(edge for event in self.pending for edge in self.fire_pending(event)) + self.free_edges()

    def free_edges(self) -> tuple[Edge, ...]:
        """Acts, reads that see a chosen input, failures, repairs: at any time or never."""
        misbehaves = self.network.options.controller_fault
        found = list(self._controller_misbehaves() if misbehaves else self._idle_reads())
        found.extend(self._acts())
        if self.budget > 0 or self.again:
            found.extend(self._failures())
        found.extend(self._recoveries())
        if self.network.options.repairs:
            found.extend(self._repairs())
        return tuple(found)

    def fire_pending(self, event: Pending) -> Iterator[Edge]:
        """The edges of one pending event."""
        if event.key == READ:
            if not is_blocked(READ, self.pending):
                yield from self._reads(READ, lambda _choice: True)
        elif event.key == WRITE:
            yield from self._write()
        else:
            yield from self._fire_other(event.key)

    def _fire_other(self, key: int) -> Iterator[Edge]:
        """A timer, a signal that arrives, or a device that moves."""
        for timer in self.network.controller.timers:
            if timer.key == key:
                yield from self._expire(key, timer.cell, timer.label)
                return
        for delay in self.network.delays:
            if delay.pending.key == key:
                yield from self._arrive(key, delay.bit)
                return
        for machine in self.network.machines:
            for move in machine.places[self.state.plant[machine.index]].timed:
                if move.pending.key == key and machine.drive_value(self.state) & move.mask == move.value:
                    yield from self._move(machine, move.target, move.label, key)
                    return
    # -- what fires ------------------------------------------------------------------------------------------

    def _work(self, fired: int) -> Work:
        work = Work(self.network, self.state, self.allowed, self.budget, self.again)
        work.alive = set(self.order)
        work.alive.discard(fired)
        return work

    def _expire(self, key: int, cell: int, label: str) -> Iterator[Edge]:
        work = self._work(key)
        memory = list(work.memory)
        memory[cell] = TIMER_EXPIRED
        work.memory = tuple(memory)
        yield from self._finish(work, Event(Cause.TIMER, key, label, "expires"))

    def _arrive(self, key: int, bit: int) -> Iterator[Edge]:
        work = self._work(key)
        work.seen ^= bit
        name = self.network.signals_in(bit)[0]
        value = "on" if work.seen & bit else "off"
        yield from self._finish(work, Event(Cause.DELAY, key, name, f"is seen {value}"))

    def _move(self, machine: Machine, target: int, label: str, key: int) -> Iterator[Edge]:
        if self.is_plain:
            action = machine.places[target].label
            yield self._settled(Event(Cause.MOVE, key, machine.name, action), machine.index, target)
            return
        work = self._work(key)
        for outcome in move_machine(self.network, work, machine, target, label):
            event = Event(Cause.MOVE, key, machine.name, machine.places[outcome.plant[machine.index]].label)
            yield from self._settle(outcome, event)

    def _write(self) -> Iterator[Edge]:
        event = Event(Cause.WRITE, WRITE, "outputs", self._written_text(self.state.computed))
        if self.is_plain:
            yield self._settled(event, written=self.state.computed)
            return
        work = self._work(WRITE)
        work.written = work.computed
        yield from self._settle(work, event)

    def _written_text(self, written: int) -> str:
        on = self.network.outputs_in(written & ~self.state.written)
        off = self.network.outputs_in(self.state.written & ~written)
        return ", ".join([*(f"{name} on" for name in on), *(f"{name} off" for name in off)])

    # -- reads -----------------------------------------------------------------------------------------------

    def _idle_reads(self) -> Iterator[Edge]:
        """Reads at any time that see a chosen input, or a contact that has failed, and change something."""
        if self.state.scan == IDLE and (self.network.chosen or self.budget):
            yield from self._reads(FREE, lambda choice: changes(self.state, choice.result))

    def _reads(self, key: int, wanted: Callable[[ReadChoice], bool]) -> Iterator[Edge]:
        for choice in read_choices(self.network, self.state, self.allowed, self.budget):
            if wanted(choice):
                yield from self.read(key, choice)

    def read(self, key: int, choice: ReadChoice) -> Iterator[Edge]:
        """The edges of one read that sees what `choice` says."""
        work = self._work(key)
        for failure in choice.faults:
            work.fail(failure)
        work.stuck_on |= choice.stuck_on
        work.stuck_off |= choice.stuck_off
        work.refresh_signals()
        result = choice.result
        work.memory, work.computed = result.memory, result.computed
        work.alive -= result.restarted
        work.scan = AFTER_CHANGE if changes(self.state, result) else IDLE
        event = self._read_event(key, choice)
        if self.network.write is None and work.written != work.computed:
            work.written = work.computed
            yield from self._settle(work, event, result.entered)
        else:
            yield from self._finish(work, event, result.entered)

    def _read_event(self, key: int, choice: ReadChoice) -> Event:
        identity = (key, choice.result.entered, choice.chosen, choice.result.used & self.network.chosen_mask)
        known = self.network.memo.read_events.get(identity)
        if known is None:
            known = self.network.memo.read_events[identity] = self._new_read_event(key, choice)
        return known

    def _new_read_event(self, key: int, choice: ReadChoice) -> Event:
        acts = []
        mask = 0
        for chosen in self.network.chosen:
            mask |= chosen.bit
            is_on = bool(choice.chosen & chosen.bit)
            if is_on != chosen.is_on_at_rest and choice.result.used & chosen.bit:
                act = chosen.on_act if is_on else chosen.off_act
                acts.append((chosen.device, act or ""))
        steps = [self._step_text(*pair) for pair in choice.result.entered]
        text = ", ".join(steps) if steps else "reads"
        return Event(Cause.READ, key, "controller", text, acts=tuple(acts), chosen=(mask, choice.chosen))

    def _step_text(self, chart: int, step: int) -> str:
        block = self.network.controller.charts[chart]
        return f"{block.name} enters {block.step_names[step]}"

    # -- free events -----------------------------------------------------------------------------------------

    def _acts(self) -> Iterator[Edge]:
        for machine, move in possible_acts(self.network, self.state):
            yield from self._act(machine, move.target, move.act, move.by_operator)

    def _act(self, machine: Machine, target: int, act: str, by_operator: bool) -> Iterator[Edge]:
        acts = ((machine.name, act),) if by_operator else ()
        if self.is_plain and machine.index != self.network.operator:
            event = Event(Cause.ACT, FREE, machine.name, act, acts=acts)
            yield self._settled(event, machine.index, target)
            return
        work = self._work(FREE)
        if machine.index == self.network.operator:
            repair_for_procedure(self.network, work)
        for outcome in move_machine(self.network, work, machine, target, act):
            yield from self._settle(outcome, Event(Cause.ACT, FREE, machine.name, act, acts=acts))

    def _failures(self) -> Iterator[Edge]:
        late = self.network.options.late
        for machine in self.network.machines:
            for failure in machine.places[self.state.plant[machine.index]].failures:
                waits = late and failure.is_quiet and not self.network.failures[failure.failure].is_intermittent
                if self._may_fail(failure.failure) and not waits:
                    yield from self._body_fails(machine, failure.failure, failure.target)
        for mode in self.network.failures:
            if mode.contact and self._may_fail(mode.index):
                yield from self._contact_fails(mode.index, mode.contact, mode.stuck_on)

    def _may_fail(self, failure: int) -> bool:
        return failure in self.again or (self.budget > 0 and failure in self.allowed)

    def _body_fails(self, machine: Machine, failure: int, target: int) -> Iterator[Edge]:
        work = self._work(FREE)
        work.fail(failure)
        work.place(machine, target)
        yield from self._settle(work, Event(Cause.FAULT, FREE, machine.name, self._fault_text(failure)))

    def _contact_fails(self, failure: int, bit: int, stuck_on: bool) -> Iterator[Edge]:
        state = self.state
        is_chosen = any(choice.bit == bit for choice in self.network.chosen)
        if (state.stuck_on | state.stuck_off) & bit or bit & self.network.contacts_at_read or is_chosen:
            return
        shows = bool(state.signals & bit) != stuck_on
        if self.network.options.late and not shows:
            return
        work = self._work(FREE)
        work.fail(failure, bit if stuck_on else 0, 0 if stuck_on else bit)
        subject = self.network.signals_in(bit)[0]
        yield from self._settle(work, Event(Cause.FAULT, FREE, subject, self._fault_text(failure)))

    def _fault_text(self, failure: int) -> str:
        return self.network.failures[failure].text

    def _recoveries(self) -> Iterator[Edge]:
        """Intermittent failures that go away by themselves."""
        for mode in self.network.intermittent:
            yield from self._undo(mode.index, Cause.MOVE, "recovers")

    def _repairs(self) -> Iterator[Edge]:
        for mode in self.network.failures:
            yield from self._undo(mode.index, Cause.REPAIR, "is repaired")

    def _undo(self, failure: int, cause: Cause, text: str) -> Iterator[Edge]:
        mode = self.network.failures[failure]
        work = self._work(FREE)
        if not repair(self.network, work, failure):
            return
        acts = ((mode.device, f"repair {mode.name}"),) if cause is Cause.REPAIR else ()
        yield from self._settle(work, Event(cause, FREE, mode.device, text, acts=acts))

    def _controller_misbehaves(self) -> Iterator[Edge]:
        for bit, name in enumerate(self.network.output_names):
            work = self._work(FREE)
            work.written ^= 1 << bit
            work.computed = work.written
            value = "on" if work.written >> bit & 1 else "off"
            yield from self._settle(work, Event(Cause.FAULT, FREE, "controller", f"turns {name} {value}"))

    # -- the instant and after -------------------------------------------------------------------------------

    def _settled(
        self, event: Event, machine: int = -1, target: int = 0, written: int | None = None
    ) -> Edge:
        """The one edge of an event with which nothing fails: a move, an act or a write."""
        state, network = self.state, self.network
        written = state.written if written is None else written
        plant, dropped = settled_plant(network, state, machine, target, written)
        signals = (raw_signals(network, plant) | state.stuck_on) & ~state.stuck_off
        seen = signals & network.undelayed | state.seen & ~network.undelayed
        target_state = with_demand(
            network,
            State(
                state.memory, state.computed, written, state.scan, plant, state.stuck_on, state.stuck_off,
                signals, seen, state.watch,
            ),
        )  # fmt: skip
        fired = event.key
        kept = tuple([key for key in self.order if key != fired and key not in dropped])
        return Edge(event, target_state, kept, (), ())

    def _settle(self, work: Work, event: Event, entered: Entered = ()) -> Iterator[Edge]:
        for outcome in settle(self.network, work):
            yield from self._finish(outcome, event, entered)

    def _finish(self, work: Work, event: Event, entered: Entered = ()) -> Iterator[Edge]:
        state = finished_state(self.network, work, self.state.watch)
        if work.faults:
            event = event._replace(faults=tuple(self.network.failures[fault].name for fault in work.faults))
        kept = tuple([key for key in self.order if key in work.alive])
        yield Edge(event, state, kept, entered, ())
