"""Declares every name of a file, before any condition is looked up."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.errors import Place, SequenceFileError
from seqcheck.language.field import Field, FieldKind, FreeState, Signal
from seqcheck.language.sequence import Alarm, Chart, Circuit, Entry, Flag, MachineData
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.circuit import circuit_behaviour
from seqcheck.reader.acts import REPAIR
from seqcheck.reader.devices import DeviceRead
from seqcheck.reader.names import NameKind, Names, StepName
from seqcheck.reader.problem_log import ProblemLog


def declare_device(read: DeviceRead, names: Names, log: ProblemLog) -> None:
    """Declare a device, its inputs and outputs."""
    names.declare(read.device.name, NameKind.DEVICE, read.device.place, log)
    if not read.is_complete:
        names.doubtful |= read.texts
        names.doubtful_owners.add(read.device.name)
    if read.type is None:
        return
    kinds = dict(field_kinds(read.type.fields))
    for entry in read.device.entries:
        _declare_entry(entry, kinds[entry.name], names, log)


def field_kinds(fields: tuple[Field, ...], prefix: str = "") -> Iterator[tuple[str, FieldKind]]:
    """Yield the name of every entry that these fields can make, members of groups as `group.member`."""
    for field in fields:
        yield f"{prefix}{field.name}", field.kind
        yield from field_kinds(field.members, f"{prefix}{field.name}.")


def _declare_entry(entry: Entry, kind: FieldKind, names: Names, log: ProblemLog) -> None:
    if kind is FieldKind.OUTPUT and isinstance(entry.value, str):
        names.declare(entry.value, NameKind.OUTPUT, entry.place, log)
    elif kind is FieldKind.OUTPUTS and isinstance(entry.value, tuple):
        for name in entry.value:
            names.declare(str(name), NameKind.OUTPUT, entry.place, log)
    elif kind is FieldKind.SIGNAL and isinstance(entry.value, Signal):
        names.declare(entry.value.name, NameKind.SIGNAL, entry.place, log)
    elif kind in (FieldKind.STATES, FieldKind.POSITIONS) and isinstance(entry.value, tuple):
        for name in _state_signals(entry.value):
            names.declare(name, NameKind.SIGNAL, entry.place, log)


def _state_signals(states: tuple[object, ...]) -> tuple[str, ...]:
    """Return each signal of a free-form device once; it may be on in several of its states."""
    free = [state for state in states if isinstance(state, FreeState)]
    return tuple(dict.fromkeys(signal.name for state in free for signal in state.signals))


def declare_behaviour(read: DeviceRead, machine: MachineData, names: Names, log: ProblemLog) -> None:
    """Declare the facts, failures and acts of a device that is complete; check the failures it speaks of."""
    behaviour = _behaviour(read, machine, log)
    if behaviour is None:
        names.doubtful_owners.add(read.device.name)
        return
    _declare_machine_part(read.device.name, read.device.place, behaviour, names, log)
    known = tuple(failure.name for failure in behaviour.failures)
    for failure in read.failures:
        if failure.text not in known:
            log.unknown(failure.place, f"a failure of {read.device.name}", failure.text, known)


def _behaviour(read: DeviceRead, machine: MachineData, log: ProblemLog) -> Behaviour | None:
    if read.type is None or not read.is_complete:
        return None
    try:
        return read.type.behaviour(read.device, machine)
    except SequenceFileError as error:
        log.add(error.problems)
        return None


def _declare_machine_part(
    name: str, place: Place, behaviour: Behaviour, names: Names, log: ProblemLog
) -> None:
    for fact in behaviour.facts:
        names.declare(f"{name}.{fact}", NameKind.FACT, place, log)
    names.failures += [f"{name}.{failure.name}" for failure in behaviour.failures]
    names.behaviours[name] = behaviour


def declare_circuit(circuit: Circuit, names: Names, log: ProblemLog) -> None:
    """Declare a circuit, its input, its fact and its failures."""
    names.declare(circuit.name, NameKind.CIRCUIT, circuit.place, log)
    if circuit.signal is not None:
        names.declare(circuit.signal, NameKind.SIGNAL, circuit.place, log)
    if circuit.channels:
        _declare_machine_part(circuit.name, circuit.place, circuit_behaviour(circuit), names, log)
    else:
        names.doubtful_owners.add(circuit.name)


def declare_controller(
    flags: tuple[Flag, ...],
    alarms: tuple[Alarm, ...],
    charts: tuple[Chart, ...],
    names: Names,
    log: ProblemLog,
) -> None:
    """Declare what the controller has inside: flags, alarms, charts, then all steps."""
    for flag in flags:
        names.declare(flag.name, NameKind.FLAG, flag.place, log)
    for alarm in alarms:
        names.declare(alarm.name, NameKind.ALARM, alarm.place, log)
    for chart in charts:
        names.declare(chart.name, NameKind.CHART, chart.place, log)
    for chart in charts:
        for step in chart.steps:
            has_watchdog = step.watchdog is not None
            name = StepName(chart=chart.name, step=step.name, has_watchdog=has_watchdog)
            names.declare_step(name, step.place, log)


def acts_of(device: str, names: Names) -> tuple[str, ...]:
    """Return what an operator can do on a device: its acts, and repair where it can fail."""
    behaviour = names.behaviours.get(device)
    if behaviour is None:
        return ()
    return (*operator_acts(behaviour), *((REPAIR,) if behaviour.failures else ()))


def operator_acts(behaviour: Behaviour) -> tuple[str, ...]:
    """Return the acts of an operator on a device; what only the surroundings do is none."""
    moves = [move for position in behaviour.positions for move in position.moves if not move.unobserved]
    return tuple(dict.fromkeys(move.act for move in moves if move.act is not None))
