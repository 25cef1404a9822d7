"""The dataclasses of a sequence: the file, read and checked, with a place for every part.

The picture: a controller runs charts; charts write outputs; devices (the machine) follow outputs and give signals
back; safety circuits hold energy on outside the controller; requirements say what must hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from seqcheck.errors import Place
from seqcheck.language.copy_set import CopySet
from seqcheck.language.expression import Expression
from seqcheck.language.field import FieldValue
from seqcheck.language.mode import Mode
from seqcheck.language.safety_function import SafetyFunction
from seqcheck.quantities.time import TimeRange

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """The controller's cycle: `period` between two reads of the inputs, `write` from a read to its outputs."""

    period: TimeRange
    write: TimeRange


@dataclass(frozen=True, slots=True, kw_only=True)
class Web:
    """The web: width and caliper in mm, grammage in g/m2, stiffness EA and tensions in N.

    `span_mm`: free web before the accumulator and after it, each.
    """

    width_mm: float | None = None
    caliper_mm: float | None = None
    grammage_g_per_m2: float | None = None
    stiffness_n: float | None = None
    tension_run_n: float | None = None
    tension_least_n: float | None = None
    tension_most_n: float | None = None
    span_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The line that must not stop: its speed, and the times of its ramps between standstill and speed."""

    speed_m_per_s: float
    stop: TimeRange | None = None
    start: TimeRange | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Roll:
    """The roll: outside diameter when new and core diameter, in mm."""

    outside_mm: float
    core_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Unwind:
    """The unwind drive, or the rewind: ramp times between line speed and standstill, and how much faster than the line it can run.

    `compensation_ratio`: share of the roll's inertia that the drive takes over in ramps.
    """

    stop: TimeRange
    start: TimeRange
    overspeed_ratio: float = 0.0
    compensation_ratio: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Accumulator:
    """The accumulator: strands, carriage stroke in metres, levels as ratios of the stroke, mass of the carriage."""

    strands: int
    stroke_m: float
    running_ratio: float
    filled_ratio: float
    reserve_ratio: float
    carriage_kg: float | None = None
    emptied_ratio: float | None = None
    """Where it takes web up: the level when emptied for a cut-over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineData:
    """Numbers of the machine that devices, budget and physics share; a section not in the file is None."""

    web: Web | None = None
    line: Line | None = None
    roll: Roll | None = None
    unwind: Unwind | None = None
    rewind: Unwind | None = None
    accumulator: Accumulator | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A named value of a device or requirement, with its place."""

    name: str
    value: FieldValue
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A part of the machine. `hazard` names what it can do to a person (cut, crush, draw in) or is None.

    `no_failures`: failure modes that the file excludes for this device (with a reason, kept in `excluded_because`).
    """

    name: str
    place: Place
    type_name: str
    entries: tuple[Entry, ...]
    hazard: str | None = None
    excluded_failures: tuple[str, ...] = ()
    excluded_because: str | None = None
    intermittent_failures: tuple[str, ...] = ()

    def entry(self, name: str) -> Entry | None:
        """The entry called `name` (members of a group are called `group.member`), or None when the file has none."""
        return next((entry for entry in self.entries if entry.name == name), None)

    def value(self, name: str, kind: type[Value]) -> Value | None:
        """The value of entry `name`, or None; the reader has already checked that it is of its field's kind."""
        entry = self.entry(name)
        if entry is None:
            return None
        assert isinstance(entry.value, kind), f"{self.name}.{name} is {type(entry.value)}, reader promised {kind}"
        return entry.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A safety circuit outside the controller: energy that is on only while every channel's condition holds.

    Conditions speak of signals, as wired (stuck contacts count, delays do not), and of facts. `drop`: from the loss of a
    channel to energy off. `discrepancy_us`: two channels that differ longer lock the circuit off until both have
    been lost. `reset`: a signal or condition that must rise before energy returns; None returns by itself.
    """

    name: str
    place: Place
    channels: tuple[Expression, ...]
    drop: TimeRange
    discrepancy_us: int | None = None
    reset: Expression | None = None
    signal: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """What a step does to an output, a flag or an alarm, with an IEC 61131-3 qualifier (N, R, S, L, D, P, SD, DS, SL)."""

    variable: str
    place: Place
    qualifier: str = "N"
    time_us: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Watchdog:
    """The longest stay in a step. On expiry `step.late` is true and, at the read that sees it, `alarm` is raised."""

    limit_us: int
    alarm: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Transition:
    """Leave the step for `target` when `condition` holds. Order in the file is priority."""

    target: str
    condition: Expression
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonTransitions:
    """Transitions of every step of a chart but `excepted`; tried before the steps' own."""

    excepted: tuple[str, ...]
    transitions: tuple[Transition, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a chart."""

    name: str
    place: Place
    initial: bool = False
    actions: tuple[Action, ...] = ()
    watchdog: Watchdog | None = None
    transitions: tuple[Transition, ...] = ()
    prompt: str | None = None
    retained: bool = False
    """Whether a controller that comes back on goes on in this step; else the chart begins anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A state machine with one active step. Charts run in file order at every read."""

    name: str
    place: Place
    steps: tuple[Step, ...]
    common: tuple[CommonTransitions, ...] = ()

    @property
    def initial(self) -> Step:
        """The initial step; the reader guarantees exactly one."""
        return next(step for step in self.steps if step.initial)

    def transitions_of(self, step: Step) -> tuple[Transition, ...]:
        """All transitions that can leave `step`, in priority order: common ones first, then its own."""
        common = [
            transition
            for group in self.common
            if step.name not in group.excepted
            for transition in group.transitions
        ]
        return (*common, *step.transitions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """An alarm: set by actions or watchdogs, kept until `clear` holds at a read and nothing raises it.

    `acknowledge`: what tells that somebody has seen it; None where nobody asks.
    """

    name: str
    place: Place
    text: str
    clear: Expression
    acknowledge: Expression | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """An internal variable of the controller, written by actions; a condition sees it as of the last read.

    `retained`: whether it is kept without power.
    """

    name: str
    place: Place
    retained: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Hypothesis:
    """Which failures may happen: at most `count` of them, of those in `named` (empty: of all).

    `controller` True: the outputs may be in any state (what is left is the safety circuits).
    """

    count: int = 0
    named: tuple[str, ...] = ()
    controller: bool = False

    @property
    def text(self) -> str:
        """As written in a file: `no fault`, `any one fault`, `any two faults`, `fault knife.jams`, `controller fault`."""
        if self.controller:
            return "controller fault"
        if self.count == 0:
            return "no fault"
        if self.named:
            return ("fault " if self.count == 1 else "faults ") + ", ".join(self.named)
        return {1: "any one fault", 2: "any two faults"}[self.count]


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What the operator and the surroundings may do: `anything` (default), or only `allowed` acts; `still` devices stay.

    `allowed` None: every act; otherwise names of devices whose acts are allowed. `still`: (device, fact-free word) pairs of
    devices that do not act at all (`hood stays closed`).
    """

    allowed: tuple[str, ...] | None = None
    still: tuple[tuple[str, str], ...] = ()

    @property
    def text(self) -> str:
        """As written in a file."""
        parts = [f"{device} stays {word}" for device, word in self.still]
        if self.allowed is not None:
            parts.append("no operator act" + (f" but {', '.join(self.allowed)}" if self.allowed else ""))
        return "; ".join(parts) or "anything"


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """What must hold. `kind` names the file in requirements/ that judges it; `entries` are that kind's fields."""

    id: str
    place: Place
    kind: str
    text: str
    entries: tuple[Entry, ...]
    severity: str = "safety"
    under: Hypothesis = Hypothesis()
    given: Given = Given()
    start_anywhere: bool = False
    clause: str | None = None

    def entry(self, name: str) -> Entry | None:
        """The entry called `name`, or None when the file has none."""
        return next((entry for entry in self.entries if entry.name == name), None)

    def value(self, name: str, kind: type[Value]) -> Value | None:
        """The value of entry `name`, or None; the reader has already checked that it is of its field's kind."""
        entry = self.entry(name)
        if entry is None:
            return None
        assert isinstance(entry.value, kind), f"{self.id}.{name} is {type(entry.value)}, reader promised {kind}"
        return entry.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """A sequence file, read and checked."""

    name: str
    file: str
    revision: str
    scan: Scan
    machine: MachineData
    devices: tuple[Device, ...]
    circuits: tuple[Circuit, ...]
    flags: tuple[Flag, ...]
    alarms: tuple[Alarm, ...]
    charts: tuple[Chart, ...]
    requirements: tuple[Requirement, ...]
    base_file: str | None = None
    note: str | None = None
    safety_functions: tuple[SafetyFunction, ...] = ()
    copies: tuple[CopySet, ...] = ()
    modes: tuple[Mode, ...] = ()

    def chart(self, name: str) -> Chart:
        """The chart called `name`."""
        return next(chart for chart in self.charts if chart.name == name)

    def device(self, name: str) -> Device | None:
        """The device called `name`, or None."""
        return next((device for device in self.devices if device.name == name), None)
