"""Firing where nothing fails: every event then has exactly one outcome, and most of it is known from elsewhere.

Where devices stand after a move depends on where they stood and on the outputs alone; many states share that. Most firings
of a search are of this kind.
"""

from __future__ import annotations

from seqcheck.kernel.acts import possible_acts
from seqcheck.kernel.agenda import Agenda
from seqcheck.kernel.choices import sound_reads
from seqcheck.kernel.event import Cause, Edge, Event
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.memory import TIMER_EXPIRED, TimerCell
from seqcheck.kernel.network import Network, Outcome, Outcomes, ReadChoice
from seqcheck.kernel.part import Control, Positions
from seqcheck.kernel.settle import Work, due_move, raw_signals, settle
from seqcheck.kernel.state import AFTER_CHANGE, IDLE, ON_DEMAND, State

Entered = tuple[tuple[int, int], ...]
NOTHING: frozenset[int] = frozenset()


class SoundFiring:
    """Firings out of one state with which nothing fails."""

    __slots__ = ("agenda", "network", "outcomes", "state")

    def __init__(self, network: Network, state: State, agenda: Agenda) -> None:
        """Prepare the firings of `state`, in which `agenda` is pending."""
        self.network = network
        self.state = state
        self.agenda = agenda
        self.outcomes = _outcomes(network, state)

    def move(self, machine: Machine, key: int) -> Edge:
        """A device has come to the end of a move."""
        outcome = self.outcomes.moves.get(key)
        if outcome is None:
            outcome = self.outcomes.moves[key] = self._find_move(machine, key)
        return self._placed(outcome)

    def acts(self) -> list[Edge]:
        """What people may do, but for the operator of a procedure, who makes repairs."""
        network, state, acts = self.network, self.state, self.outcomes.acts
        if acts is None:
            acts = self.outcomes.acts = tuple(
                _outcome(network, state, act.event, act.machine, act.move.target)
                for act in possible_acts(network, state)
                if act.machine.index != network.operator
            )
        return [self._placed(outcome) for outcome in acts]

    def expire(self, timer: TimerCell) -> Edge:
        """A timer has run out; the next read sees it."""
        before, cell = self.state.control, timer.cell
        memory = (*before.memory[:cell], TIMER_EXPIRED, *before.memory[cell + 1 :])
        control = self.network.control(memory, before.computed, before.written)
        event = Event(Cause.TIMER, timer.key, timer.label, "expires")
        return self._controlled(event, control, self.state.scan)

    def write(self, event: Event) -> Edge:
        """The outputs as last computed act."""
        before = self.state.control
        control = self.network.control(before.memory, before.computed, before.computed)
        return self._controlled(event, control, self.state.scan)

    def read(self, event: Event, choice: ReadChoice) -> Edge:
        """A read that sees what `choice` says."""
        scan = AFTER_CHANGE if choice.alters else IDLE
        return self._controlled(event, choice.control, scan, choice.result.entered, choice.result.restarted)

    # -- what follows ----------------------------------------------------------------------------------------

    def _placed(self, outcome: Outcome) -> Edge:
        state, network = self.state, self.network
        event, positions, raw, dropped = outcome
        signals = (raw | state.stuck_on) & ~state.stuck_off
        seen = signals & network.undelayed | state.seen & ~network.undelayed if network.delays else signals
        return self._edge(event, state.control, state.scan, (positions, signals, seen), dropped)

    def _controlled(
        self, event: Event, control: Control, scan: int, entered: Entered = (), gone: frozenset[int] = NOTHING
    ) -> Edge:
        state, network = self.state, self.network
        if control.written == state.control.written:
            placed = (state.positions, state.signals, state.seen)
            return self._edge(event, control, scan, placed, gone, entered)
        positions, dropped = _written(network, state, control.written)
        signals = (raw_signals(network, positions) | state.stuck_on) & ~state.stuck_off
        seen = signals & network.undelayed | state.seen & ~network.undelayed
        return self._edge(event, control, scan, (positions, signals, seen), gone | dropped, entered)

    def _edge(
        self,
        event: Event,
        control: Control,
        scan: int,
        placed: tuple[Positions, int, int],
        gone: frozenset[int],
        entered: Entered = (),
    ) -> Edge:
        state, network = self.state, self.network
        positions, signals, seen = placed
        if scan == IDLE and not network.options.controller_fault and sound_reads(network, control, seen).is_demanded:
            scan = ON_DEMAND
        target = State(control, scan, positions, state.stuck_on, state.stuck_off, signals, seen, state.watch)
        return Edge(event, target, self.agenda.kept_after(event.key, gone), entered, ())

    # -- worked out once -------------------------------------------------------------------------------------

    def _find_move(self, machine: Machine, key: int) -> Outcome:
        move = due_move(machine, self.state, key)
        event = Event(Cause.MOVE, key, machine.name, machine.places[move.target].label)
        return _outcome(self.network, self.state, event, machine, move.target)


def _outcomes(network: Network, state: State) -> Outcomes:
    """The outcomes shared by all states with these positions and outputs.

    Contacts that drive nothing make no difference to the machine, so that runs with such a contact stuck share them too.
    """
    driving = network.driving_signals
    identity = (state.positions, state.control.written, state.stuck_on & driving, state.stuck_off & driving)
    known = network.memo.outcomes.get(identity)
    if known is None:
        known = network.memo.outcomes[identity] = Outcomes()
    return known


def _outcome(network: Network, state: State, event: Event, machine: Machine, target: int) -> Outcome:
    work = Work(network, state)
    work.alive = set(network.machine_keys)
    work.place(machine, target)
    return Outcome(event, *_settled(network, work))


def _written(network: Network, state: State, written: int) -> tuple[Positions, frozenset[int]]:
    """Positions when these outputs have been written, and the keys no longer pending."""
    driving = network.driving_signals
    identity = (state.positions, written, state.stuck_on & driving, state.stuck_off & driving)
    known = network.memo.settled.get(identity)
    if known is None:
        work = Work(network, state)
        work.alive = set(network.machine_keys)
        work.written = written
        positions, _, dropped = _settled(network, work)
        known = network.memo.settled[identity] = positions, dropped
    return known


def _settled(network: Network, work: Work) -> tuple[Positions, int, frozenset[int]]:
    (settled,) = settle(network, work)
    positions = network.positions(tuple(settled.plant))
    return positions, raw_signals(network, positions), network.machine_keys - settled.alive
