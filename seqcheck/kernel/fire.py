"""Firing: from a state and an event to the states that follow.

`successors` gives every edge out of a state: pending events, and free ones (acts, failures, repairs, reads that see a chosen
input). One instant may have several outcomes, because a quiet failure may make a move go otherwise.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from seqcheck.kernel.acts import Act, possible_acts
from seqcheck.kernel.agenda import Agenda
from seqcheck.kernel.choices import read_choices, sound_reads
from seqcheck.kernel.event import FREE, READ, WRITE, Cause, Edge, Event, Pending
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.memory import TimerCell
from seqcheck.kernel.network import DelayLine, Network, ReadChoice
from seqcheck.kernel.pending import ages_pending, core_agenda, is_blocked
from seqcheck.kernel.repair import repair, repair_for_procedure
from seqcheck.kernel.settle import Work, due_move, move_machine, settle
from seqcheck.kernel.settled import finished_state, watched
from seqcheck.kernel.sound import SoundFiring
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
    yield Edge(Event(Cause.AGE, key, subject, moment), state, core_agenda(network, state).keys, (), ())


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


class Firing:
    """All firings out of one state. It keeps what they share; nothing outlives it."""

    def __init__(
        self,
        network: Network,
        state: State,
        allowed: frozenset[int] = frozenset(),
        budget: int = 0,
        again: frozenset[int] = frozenset(),
        agenda: Agenda | None = None,
    ) -> None:
        """Prepare the firings of `state`; the parameters are those of `successors`, `agenda` what is pending, if known."""
        self.network = network
        self.state = state
        self.allowed = allowed
        self.is_recovering = network.operator is not None and state.plant[network.operator] != 0
        self.budget = budget if allowed and not self.is_recovering else 0
        self.again = again if not self.is_recovering else frozenset()
        self.is_sound = self.budget == 0 and not self.again
        self.agenda = core_agenda(network, state) if agenda is None else agenda
        self.sound = SoundFiring(network, state, self.agenda)

    def edges(self) -> tuple[Edge, ...]:
        """Every edge, in a fixed order: pending events first, then what may come at any time."""
        return tuple(edge for event in self.agenda.pending for edge in self.fire_pending(event)) + self.free_edges()

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

    def fire_pending(self, event: Pending) -> Iterable[Edge]:
        """The edges of one pending event."""
        key = event.key
        if key == READ:
            return () if is_blocked(READ, self.agenda.pending) else self._reads(READ, self._choices())
        if key == WRITE:
            return self._write()
        mover = self.network.movers[key]
        if isinstance(mover, TimerCell):
            return (self.sound.expire(mover),)
        if isinstance(mover, DelayLine):
            return self._arrive(key, mover.bit)
        return (self.sound.move(mover, key),) if self.is_sound else self._move(mover, key)

    # -- what fires ------------------------------------------------------------------------------------------

    def _work(self, fired: int) -> Work:
        work = Work(self.network, self.state, self.allowed, self.budget, self.again)
        work.alive = set(self.agenda.keys)
        work.alive.discard(fired)
        return work

    def _arrive(self, key: int, bit: int) -> Iterator[Edge]:
        work = self._work(key)
        work.seen ^= bit
        name = self.network.signals_in(bit)[0]
        value = "on" if work.seen & bit else "off"
        yield from self._finish(work, Event(Cause.DELAY, key, name, f"is seen {value}"))

    def _move(self, machine: Machine, key: int) -> Iterator[Edge]:
        move = due_move(machine, self.state, key)
        work = self._work(key)
        for outcome in move_machine(self.network, work, machine, move.target, move.label):
            label = machine.places[outcome.plant[machine.index]].label
            yield from self._settle(outcome, Event(Cause.MOVE, key, machine.name, label))

    def _write(self) -> Iterator[Edge]:
        event = Event(Cause.WRITE, WRITE, "outputs", self._written_text(self.state.computed))
        if self.is_sound:
            yield self.sound.write(event)
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
            if self.budget:
                yield from self._reads(FREE, (choice for choice in self._choices() if choice.alters))
            else:
                yield from self._reads(FREE, sound_reads(self.network, self.state.control, self.state.seen).altering)

    def _choices(self) -> tuple[ReadChoice, ...]:
        return read_choices(self.network, self.state, self.allowed, self.budget)

    def _reads(self, key: int, choices: Iterable[ReadChoice]) -> Iterator[Edge]:
        for choice in choices:
            yield from self.read(key, choice)

    def read(self, key: int, choice: ReadChoice) -> Iterator[Edge]:
        """The edges of one read that sees what `choice` says."""
        if self.is_sound:
            yield self.sound.read(self._read_event(key, choice), choice)
        else:
            yield from self._read(key, choice)

    def _read(self, key: int, choice: ReadChoice) -> Iterator[Edge]:
        work = self._work(key)
        for failure in choice.faults:
            work.fail(failure)
        work.stuck_on |= choice.stuck_on
        work.stuck_off |= choice.stuck_off
        work.refresh_signals()
        result = choice.result
        work.memory, work.computed = result.memory, result.computed
        work.alive -= result.restarted
        work.scan = AFTER_CHANGE if choice.alters else IDLE
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
        if self.is_sound:
            yield from self.sound.acts()
            if self.network.operator is None:
                return
        for act in possible_acts(self.network, self.state):
            if not self.is_sound or act.machine.index == self.network.operator:
                yield from self._act(act)

    def _act(self, act: Act) -> Iterator[Edge]:
        work = self._work(FREE)
        if act.machine.index == self.network.operator:
            repair_for_procedure(self.network, work)
        for outcome in move_machine(self.network, work, act.machine, act.move.target, act.move.act):
            yield from self._settle(outcome, act.event)

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

    def _settle(self, work: Work, event: Event, entered: Entered = ()) -> Iterator[Edge]:
        for outcome in settle(self.network, work):
            yield from self._finish(outcome, event, entered)

    def _finish(self, work: Work, event: Event, entered: Entered = ()) -> Iterator[Edge]:
        state = finished_state(self.network, work, self.state.watch)
        if work.faults:
            event = event._replace(faults=tuple(self.network.failures[fault].name for fault in work.faults))
        kept = tuple([key for key in self.agenda.keys if key in work.alive])
        yield Edge(event, state, kept, entered, ())
