"""From a sequence to the frozen network: behaviours, names, controller, machines, watches, in this order."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field, replace

from seqcheck.kernel.build_controller import ControllerBuilder
from seqcheck.kernel.build_machine import MachineBuilder, facts_of
from seqcheck.kernel.build_watch import WatchBuilder, conditions_of, devices_failing
from seqcheck.kernel.condition import names_of
from seqcheck.kernel.controller import Controller
from seqcheck.kernel.event import WRITE, Pending
from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.memory import MemoryLayout, TimerCell
from seqcheck.kernel.names import NameTable
from seqcheck.kernel.network import ChosenInput, DelayLine, Network, NetworkOptions
from seqcheck.kernel.observer import Monitor, ReadMonitor
from seqcheck.language.sequence import Device, Sequence
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.plant.circuit import circuit_behaviour
from seqcheck.plant.procedure import following_procedure, operator_behaviour


def build_network(sequence: Sequence, monitors: tuple[Monitor, ...], options: NetworkOptions) -> Network:
    """The network of `sequence` with `monitors` watching.

    Raises SequenceFileError if a device lacks data that its type derives from the machine's numbers.
    """
    return watching(build_core(sequence, options_for(monitors, options)), monitors)


def build_core(sequence: Sequence, options: NetworkOptions) -> Network:
    """The network without monitors. Several sets of monitors may watch one core, if its options leave their names alone."""
    return _Builder(sequence, options).build()


def options_for(monitors: tuple[Monitor, ...], options: NetworkOptions) -> NetworkOptions:
    """The options with the names that `monitors` look at, which the reductions must leave alone."""
    watched = {name for part in monitors for test in conditions_of(part) for name in names_of(test)}
    read = {name for part in monitors if isinstance(part, ReadMonitor) for name in names_of(part.needs)}
    return replace(
        options,
        watched_names=options.watched_names | watched | {name for part in monitors for name in devices_failing(part)},
        read_names=options.read_names | read,
    )


def watching(core: Network, monitors: tuple[Monitor, ...]) -> Network:
    """`core` with `monitors` watching it; they share what the core has worked out."""
    layout = MemoryLayout(next_key=core.next_key)
    event_names = dict(core.event_names)
    builder = WatchBuilder(core.names, layout, event_names, core.machines, core.failures)
    watches = tuple(builder.build(index, monitor) for index, monitor in enumerate(monitors))
    return replace(core, watches=watches, event_names=event_names, next_key=layout.next_key)


_lately: deque[tuple[Sequence, tuple[Behaviour, ...]]] = deque(maxlen=4)
"""Behaviours of the last sequences asked for, by identity: one check asks for the same ones a hundred times."""


def behaviours_of(sequence: Sequence) -> tuple[Behaviour, ...]:
    """The behaviour of every device and circuit, in file order, without the failures that the file excludes."""
    for known, behaviours in tuple(_lately):
        if known is sequence:
            return behaviours
    found = _find_behaviours(sequence)
    _lately.append((sequence, found))
    return found


def _find_behaviours(sequence: Sequence) -> tuple[Behaviour, ...]:
    devices = tuple(_device_behaviour(device, sequence) for device in sequence.devices)
    return devices + tuple(circuit_behaviour(circuit) for circuit in sequence.circuits)


def _device_behaviour(device: Device, sequence: Sequence) -> Behaviour:
    behaviour = DEVICE_TYPES[device.type_name].behaviour(device, sequence.machine)
    if not device.excluded_failures:
        return behaviour
    kept = tuple(part for part in behaviour.failures if part.name not in device.excluded_failures)
    return Behaviour(
        device=behaviour.device,
        positions=behaviour.positions,
        initial=behaviour.initial,
        facts=behaviour.facts,
        drives=behaviour.drives,
        wires=behaviour.wires,
        failures=kept,
        moving_facts=behaviour.moving_facts,
    )


@dataclass(slots=True)
class _Builder:
    sequence: Sequence
    options: NetworkOptions
    names: NameTable = field(default_factory=NameTable)
    layout: MemoryLayout = field(default_factory=MemoryLayout)
    event_names: dict[int, tuple[str, str]] = field(default_factory=dict)
    behaviours: tuple[Behaviour, ...] = ()

    def build(self) -> Network:
        self.behaviours = self._with_procedure(behaviours_of(self.sequence))
        self._name_signals()
        self._name_facts()
        self._name_outputs()
        failures = self._failures()
        controller = self._controller()
        machines = tuple(
            self._machine(index, part, failures) for index, part in enumerate(self.behaviours)
        )
        chosen = self._chosen()
        delays = self._delays()
        undelayed = (1 << len(self.names.signals)) - 1
        for delay in delays:
            undelayed &= ~delay.bit
        write = self.sequence.scan.write
        return Network(
            options=self.options,
            controller=controller,
            machines=machines,
            signal_names=tuple(self.names.signals),
            output_names=tuple(self.names.outputs),
            delays=delays,
            undelayed=undelayed,
            failures=failures,
            chosen=chosen,
            contacts_at_read=self._contacts_at_read(undelayed, chosen, failures),
            contact_failures={
                bit: pair for machine in machines for bit, pair in machine.contact_failures.items()
            },
            shortest_period_us=self.sequence.scan.period.earliest_us,
            longest_period_us=_latest(self.sequence.scan.period.latest_us),
            write=None if write.latest_us == 0 else Pending(WRITE, write.earliest_us, write.latest_us),
            event_names=self.event_names | {timer.key: ("timer", timer.label) for timer in controller.timers},
            names=self.names,
            driving_signals=self._driving_signals(),
            movers=_movers(machines, controller, delays),
            machine_keys=frozenset(_moves_in_time(machines)),
            acting=_acting(machines, chosen),
            intermittent=tuple(mode for mode in failures if mode.is_intermittent),
            operator=len(machines) - 1 if self.options.procedure is not None else None,
            next_key=self.layout.next_key,
            machine_index={machine.name: machine.index for machine in machines},
            chosen_mask=sum(choice.bit for choice in chosen),
            rest_inputs=sum(choice.bit for choice in chosen if choice.is_on_at_rest),
        )

    def _with_procedure(self, parts: tuple[Behaviour, ...]) -> tuple[Behaviour, ...]:
        procedure = self.options.procedure
        if procedure is None:
            return parts
        place = self.sequence.charts[0].place
        following = tuple(following_procedure(part, procedure.acts, place) for part in parts)
        return (*following, operator_behaviour(procedure.acts, procedure.begins_when))

    def _name_signals(self) -> None:
        for behaviour in self.behaviours:
            for wire in behaviour.wires:
                self.names.signals[wire.signal.name] = len(self.names.signals)

    def _name_facts(self) -> None:
        for index, behaviour in enumerate(self.behaviours):
            for fact, holders in facts_of(behaviour).items():
                self.names.facts[f"{behaviour.device}.{fact}"] = (index, holders)

    def _name_outputs(self) -> None:
        memory = {flag.name for flag in self.sequence.flags} | {alarm.name for alarm in self.sequence.alarms}
        actions = (
            action.variable for chart in self.sequence.charts for step in chart.steps for action in step.actions
        )
        for name in (*self._names_in_drives(), *actions):
            known = name in memory or name in self.names.signals or name in self.names.facts
            if not known and name not in self.names.outputs and not name.endswith((".X", ".late")):
                self.names.outputs[name] = len(self.names.outputs)

    def _names_in_drives(self) -> list[str]:
        return [
            name
            for behaviour in self.behaviours
            for drive in behaviour.drives
            for name in names_of(drive.condition)
        ]

    def _driving_signals(self) -> int:
        signals = self.names.signals
        return sum(1 << signals[name] for name in set(self._names_in_drives()) if name in signals)

    def _controller(self) -> Controller:
        return ControllerBuilder(self.sequence, self.names, self.layout).build()

    def _failures(self) -> tuple[FailureMode, ...]:
        found: list[FailureMode] = []
        for machine, behaviour in enumerate(self.behaviours):
            device = self.sequence.device(behaviour.device)
            intermittent = device.intermittent_failures if device else ()
            wires = {wire.role: 1 << self.names.signals[wire.signal.name] for wire in behaviour.wires}
            for failure in behaviour.failures:
                found.append(
                    FailureMode(
                        index=len(found),
                        name=f"{behaviour.device}.{failure.name}",
                        device=behaviour.device,
                        text=failure.text,
                        machine=machine,
                        contact=wires[failure.contact] if failure.contact else 0,
                        stuck_on=failure.mode == "stuck_on",
                        is_intermittent=failure.name in intermittent,
                    )
                )
        return tuple(found)

    def _machine(self, index: int, behaviour: Behaviour, failures: tuple[FailureMode, ...]) -> Machine:
        mine = tuple(failure for failure in failures if failure.machine == index)
        allowed = self._acts_allowed(behaviour.device)
        return MachineBuilder(
            index, behaviour, self.names, self.layout, mine, allowed, self.event_names
        ).build()

    def _acts_allowed(self, device: str) -> bool:
        given = self.options.given
        if any(device == still for still, _ in given.still):
            return False
        return given.allowed is None or device in given.allowed

    def _delays(self) -> tuple[DelayLine, ...]:
        found = []
        for behaviour in self.behaviours:
            for wire in behaviour.wires:
                if wire.signal.delay is None:
                    continue
                key = self.layout.key()
                self.event_names[key] = (wire.signal.name, "signal arrives")
                delay = wire.signal.delay
                bit = 1 << self.names.signals[wire.signal.name]
                found.append(DelayLine(bit, Pending(key, delay.earliest_us, delay.latest_us)))
        return tuple(found)

    def _watched(self) -> set[str]:
        return set(self._names_in_drives()) | self.options.watched_names

    def _chosen(self) -> tuple[ChosenInput, ...]:
        if not self.options.choose:
            return ()
        watched = self._watched() | self.options.read_names
        found = [self._choice(behaviour, watched) for behaviour in self.behaviours]
        return tuple(choice for choice in found if choice is not None)

    def _choice(self, behaviour: Behaviour, watched: set[str]) -> ChosenInput | None:
        """The device as an input chosen at the read, if nothing but the controller can tell the difference."""
        healthy = {position.name: position for position in behaviour.positions if not position.mode}
        if len(healthy) != 2 or len(behaviour.wires) != 1 or behaviour.drives:
            return None
        wire = behaviour.wires[0]
        names = {wire.signal.name, *(f"{behaviour.device}.{fact}" for fact in behaviour.facts)}
        names.add(behaviour.device)
        if wire.signal.delay is not None or names & watched or not self._acts_allowed(behaviour.device):
            return None
        moves = {
            wire.role in position.signals: (position, position.moves) for position in healthy.values()
        }
        if len(moves) != 2 or any(len(ways) != 1 or ways[0].act is None for _, ways in moves.values()):
            return None
        return ChosenInput(
            1 << self.names.signals[wire.signal.name],
            behaviour.device,
            moves[False][1][0].act,
            moves[True][1][0].act,
            wire.role in healthy[behaviour.initial].signals,
        )

    def _contacts_at_read(
        self, undelayed: int, chosen: tuple[ChosenInput, ...], failures: tuple[FailureMode, ...]
    ) -> int:
        if not self.options.at_read:
            return 0
        # An interlock is judged on what a read sees, also on inputs that the controller does not look at in that read.
        watched = self._watched() | self.options.read_names
        watched.update(
            name
            for mode in failures
            if mode.is_intermittent and mode.contact
            for name in (tuple(self.names.signals)[mode.contact.bit_length() - 1],)
        )
        return sum(
            1 << bit
            for name, bit in self.names.signals.items()
            if name not in watched
            and undelayed >> bit & 1
            and not any(choice.bit == 1 << bit for choice in chosen)
        )


def _moves_in_time(machines: tuple[Machine, ...]) -> dict[int, Machine]:
    """By key, the machine that moves when that event comes."""
    return {move.pending.key: part for part in machines for place in part.places for move in place.timed}


def _movers(
    machines: tuple[Machine, ...], controller: Controller, delays: tuple[DelayLine, ...]
) -> dict[int, TimerCell | DelayLine | Machine]:
    timers = {timer.key: timer for timer in controller.timers}
    return {**_moves_in_time(machines), **timers, **{delay.pending.key: delay for delay in delays}}


def _acting(machines: tuple[Machine, ...], chosen: tuple[ChosenInput, ...]) -> tuple[Machine, ...]:
    at_read = {choice.device for choice in chosen}
    return tuple(
        machine
        for machine in machines
        if machine.name not in at_read and any(place.free for place in machine.places)
    )


def _latest(latest_us: int | None) -> int:
    assert latest_us is not None, "the reader asks for a longest scan period"
    return latest_us
