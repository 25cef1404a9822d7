"""A frozen network: controller, machine and monitors in numbers, with the way back to names."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import NamedTuple

from seqcheck.kernel.agenda import Agenda
from seqcheck.kernel.controller import Controller
from seqcheck.kernel.event import Event, Pending
from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.machine import DrivenMove, Instead, Machine
from seqcheck.kernel.memory import TimerCell
from seqcheck.kernel.names import NameTable
from seqcheck.kernel.part import Control, Positions
from seqcheck.kernel.reading import ReadResult
from seqcheck.kernel.state import State
from seqcheck.kernel.watch import Watch
from seqcheck.language.expression import Expression
from seqcheck.language.field import Act
from seqcheck.language.sequence import Given

ANYTHING = Given()
"""Operator and surroundings may do anything at any time."""


@dataclass(frozen=True, slots=True)
class Procedure:
    """What an operator does to bring the machine back, and where he may begin (see plant/procedure.py)."""

    acts: tuple[Act, ...]
    begins_when: Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkOptions:
    """What is built into a network.

    `late`, `at_read`, `choose`: the three reductions on events (late faults, contact failures at the read, inputs chosen at
    the read); each only leaves out what cannot change a verdict. The simulator runs with `at_read` and `choose` off.
    `repairs`: the operator may repair any failure. `only_devices` None keeps all; a slice names those that matter.
    `only_charts` likewise.
    """

    given: Given = ANYTHING
    late: bool = True
    at_read: bool = True
    choose: bool = True
    repairs: bool = False
    procedure: Procedure | None = None
    controller_fault: bool = False
    watched_names: frozenset[str] = frozenset()
    """Names that monitors look at in any state: their inputs are not chosen, and their contacts fail as events."""
    read_names: frozenset[str] = frozenset()
    """Names that monitors look at in a read: their inputs are not chosen."""


@dataclass(frozen=True, slots=True)
class DelayLine:
    """A signal with a delay: a change at the contact reaches `seen` after the pending event."""

    bit: int
    pending: Pending


class ReadChoice(NamedTuple):
    """One way a read can go. `chosen` is the value of the chosen inputs; `stuck_*` and `faults` are new failures.

    `control` is what the controller holds afterwards; `alters`: that, or the time in a step, is not what it was.
    """

    result: ReadResult
    chosen: int
    stuck_on: int
    stuck_off: int
    faults: tuple[int, ...]
    control: Control
    alters: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundReads:
    """The reads before which nothing fails: all `choices`, one for each `distinct` outcome, and those that alter something.

    `is_demanded`: every one would alter something.
    """

    choices: tuple[ReadChoice, ...]
    distinct: tuple[ReadChoice, ...]
    altering: tuple[ReadChoice, ...]
    is_demanded: bool


class Outcome(NamedTuple):
    """What an event leads to when nothing fails: positions, what contacts of sound bodies say, keys no longer pending."""

    event: Event
    positions: Positions
    raw: int
    dropped: frozenset[int]


@dataclass(slots=True)
class Outcomes:
    """The outcomes of moves (by key) and acts known so far, for all states with the same positions and outputs."""

    moves: dict[int, Outcome] = field(default_factory=dict)
    acts: tuple[Outcome, ...] | None = None


@dataclass(frozen=True, slots=True)
class Memo:
    """What a network has already worked out about parts of states. It grows, but what it says never changes."""

    controls: dict[Control, Control] = field(default_factory=dict)
    positions: dict[Positions, Positions] = field(default_factory=dict)
    raw: dict[Positions, int] = field(default_factory=dict)
    moves: dict[object, tuple[Machine, DrivenMove] | None] = field(default_factory=dict)
    agendas: dict[object, Agenda] = field(default_factory=dict)
    machine_agendas: dict[object, Agenda] = field(default_factory=dict)
    timers: dict[Control, Agenda] = field(default_factory=dict)
    reads: dict[object, SoundReads] = field(default_factory=dict)
    settled: dict[object, tuple[Positions, frozenset[int]]] = field(default_factory=dict)
    read_events: dict[object, Event] = field(default_factory=dict)
    outcomes: dict[object, Outcomes] = field(default_factory=dict)
    instead: dict[object, tuple[Instead, ...]] = field(default_factory=dict)

    def forget(self) -> None:
        """Start anew."""
        for known in fields(self):
            getattr(self, known.name).clear()


@dataclass(frozen=True, slots=True)
class ChosenInput:
    """An input whose value the read chooses: the acts that turn it on and off (None: not allowed)."""

    bit: int
    device: str
    on_act: str | None
    off_act: str | None
    is_on_at_rest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """The frozen model. Bits of `signal_names` and `output_names` index the masks in a state."""

    options: NetworkOptions
    controller: Controller
    machines: tuple[Machine, ...]
    signal_names: tuple[str, ...]
    output_names: tuple[str, ...]
    delays: tuple[DelayLine, ...]
    undelayed: int
    failures: tuple[FailureMode, ...]
    chosen: tuple[ChosenInput, ...]
    contacts_at_read: int
    contact_failures: dict[int, tuple[int | None, int | None]]
    watches: tuple[Watch, ...] = ()
    shortest_period_us: int
    longest_period_us: int
    write: Pending | None
    event_names: dict[int, tuple[str, str]]
    names: NameTable
    next_key: int
    machine_index: dict[str, int] = field(default_factory=dict)
    chosen_mask: int = 0
    rest_inputs: int = 0
    driving_signals: int = 0
    """Signals that a device or circuit depends on directly; all others matter to the controller alone."""
    movers: dict[int, TimerCell | DelayLine | Machine] = field(default_factory=dict)
    """Who has the pending event with this key; ages, reads and writes are not among them."""
    machine_keys: frozenset[int] = frozenset()
    """Keys of the moves that devices and circuits make in time."""
    acting: tuple[Machine, ...] = ()
    """Machines with acts that are not inputs chosen at the read."""
    intermittent: tuple[FailureMode, ...] = ()
    operator: int | None = None
    """The machine that is the operator of a procedure, or None."""
    memo: Memo = field(default_factory=Memo)

    def control(self, memory: tuple[int, ...], computed: int, written: int) -> Control:
        """The one object that stands for these values."""
        found = Control(memory, computed, written)
        return self.memo.controls.setdefault(found, found)

    def positions(self, numbers: tuple[int, ...]) -> Positions:
        """The one object that stands for these positions."""
        found = Positions(numbers)
        return self.memo.positions.setdefault(found, found)

    def adopted(self, state: State) -> State:
        """`state`, which another process may have made, with this network's own parts."""
        control, positions = state.control, state.positions
        return state._replace(
            control=self.memo.controls.setdefault(control, control),
            positions=self.memo.positions.setdefault(positions, positions),
        )

    def forget(self) -> None:
        """Let go of everything worked out so far, where memory matters more than time."""
        self.memo.forget()
        self.controller.forget()

    def outputs_in(self, mask: int) -> tuple[str, ...]:
        """Names of the outputs in a mask."""
        return tuple(name for bit, name in enumerate(self.output_names) if mask >> bit & 1)

    def signals_in(self, mask: int) -> tuple[str, ...]:
        """Names of the signals in a mask."""
        return tuple(name for bit, name in enumerate(self.signal_names) if mask >> bit & 1)

    def alarms_in(self, memory: tuple[int, ...]) -> tuple[str, ...]:
        """Names of the alarms that are on in a controller memory."""
        return tuple(
            part.name
            for part in self.controller.variables
            if part.clear is not None and part.cell is not None and memory[part.cell]
        )

    def failure_named(self, name: str) -> FailureMode | None:
        """The failure mode called `device.failure`, or None."""
        return next((mode for mode in self.failures if mode.name == name), None)
