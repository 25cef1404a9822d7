"""The second pass over everything that was read: conditions and names are replaced by looked-up ones."""

from __future__ import annotations

from dataclasses import replace

from seqcheck.errors import Place, SequenceFileError
from seqcheck.language.expression import Expression, names_in
from seqcheck.language.field import Act, Field, FieldKind, FieldValue, FreeMove, FreeState, Signal
from seqcheck.language.sequence import (
    Action,
    Alarm,
    Chart,
    Circuit,
    CommonTransitions,
    Device,
    Entry,
    Requirement,
    Sequence,
    Step,
    Transition,
)
from seqcheck.plant.behaviour import Behaviour
from seqcheck.reader.declarations import acts_of, field_kinds
from seqcheck.reader.devices import DeviceRead
from seqcheck.reader.names import NameKind, Names
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.scope import Scope
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS

EVERY = "all"
"""Stands in a list of names for all that can be meant."""

_WRITABLE = (NameKind.OUTPUT, NameKind.FLAG, NameKind.ALARM)


def looked_up_device(read: DeviceRead, scope: Scope) -> Device:
    """Return the device with every condition and name in it looked up."""
    if read.type is None:
        return read.device
    before = len(scope.log)
    entries = _entries(read.device.entries, read.type.fields, scope, declares=True)
    behaviour = scope.names.behaviours.get(read.device.name)
    if behaviour is not None and len(scope.log) == before:
        _check_drives(behaviour, scope)
    return replace(read.device, entries=entries)


def _check_drives(behaviour: Behaviour, scope: Scope) -> None:
    """A device may follow a fact of another, which must be of a type that has such a fact."""
    kinds = scope.names.kinds
    for drive in behaviour.drives:
        for name in names_in(drive.condition):
            owner, _, fact = name.text.rpartition(".")
            if owner in kinds and name.text not in kinds and not scope.names.is_doubtful(name.text):
                scope.log.note(name.place, f"a device that has {fact}", repr(owner))


def looked_up_circuit(circuit: Circuit, scope: Scope) -> Circuit:
    """Return the circuit with its conditions looked up."""
    return replace(
        circuit,
        channels=tuple(scope.resolved(channel) for channel in circuit.channels),
        reset=None if circuit.reset is None else scope.resolved(circuit.reset),
    )


def looked_up_alarm(alarm: Alarm, scope: Scope) -> Alarm:
    """Return the alarm with its conditions looked up."""
    acknowledge = None if alarm.acknowledge is None else scope.resolved(alarm.acknowledge)
    return replace(alarm, clear=scope.resolved(alarm.clear), acknowledge=acknowledge)


def looked_up_chart(chart: Chart, scope: Scope) -> Chart:
    """Return the chart with its conditions looked up; actions and watchdogs are checked."""
    common = tuple(_common(group, scope) for group in chart.common)
    return replace(chart, steps=tuple(_step(step, scope) for step in chart.steps), common=common)


def looked_up_requirement(requirement: Requirement, scope: Scope) -> Requirement:
    """Return the requirement with every condition and name in it looked up."""
    fields = REQUIREMENT_KINDS[requirement.kind].fields
    return replace(requirement, entries=_entries(requirement.entries, fields, scope, declares=False))


def check_requirement_data(sequence: Sequence, log: ProblemLog) -> None:
    """Note what the kinds of the requirements miss in a sequence that is otherwise right."""
    for requirement in sequence.requirements:
        try:
            REQUIREMENT_KINDS[requirement.kind].monitors(requirement, sequence)
        except SequenceFileError as error:
            log.add(error.problems)


def _common(group: CommonTransitions, scope: Scope) -> CommonTransitions:
    return replace(group, transitions=_transitions(group.transitions, scope))


def _step(step: Step, scope: Scope) -> Step:
    for action in step.actions:
        _check_action(action, scope.names, scope.log)
    if step.watchdog is not None:
        _check_kind(step.watchdog.alarm, step.watchdog.place, NameKind.ALARM, scope)
    return replace(step, transitions=_transitions(step.transitions, scope))


def _transitions(transitions: tuple[Transition, ...], scope: Scope) -> tuple[Transition, ...]:
    return tuple(
        replace(transition, condition=scope.resolved(transition.condition)) for transition in transitions
    )


def _check_action(action: Action, names: Names, log: ProblemLog) -> None:
    kind = names.kinds.get(action.variable)
    expected = "an output of a device, a flag or an alarm"
    if kind is None and not names.is_doubtful(action.variable):
        log.unknown(action.place, expected, action.variable, names.of_kind(*_WRITABLE))
    elif kind is not None and kind not in _WRITABLE:
        log.note(action.place, expected, f"{action.variable!r}, {kind.value}")


def _entries(
    entries: tuple[Entry, ...], fields: tuple[Field, ...], scope: Scope, *, declares: bool
) -> tuple[Entry, ...]:
    """`declares`: inputs and outputs among these entries are declared here and need not exist elsewhere."""
    kinds = dict(field_kinds(fields))
    return tuple(_entry(entry, kinds[entry.name], scope, declares=declares) for entry in entries)


def _entry(entry: Entry, kind: FieldKind, scope: Scope, *, declares: bool) -> Entry:
    if not declares:
        _check_reference(entry, kind, scope)
    if kind is FieldKind.ENERGY and isinstance(entry.value, str) and not _is_supply(entry.value, scope.names):
        _check_kind(entry.value, entry.place, NameKind.CIRCUIT, scope)
    return replace(entry, value=_value(entry.value, kind, entry.place, scope))


def _is_supply(name: str, names: Names) -> bool:
    """Whether it is a device that is on or not, such as a supply of air."""
    return names.kinds.get(name) is NameKind.DEVICE and f"{name}.is_on" in names.kinds


def _check_reference(entry: Entry, kind: FieldKind, scope: Scope) -> None:
    if kind is FieldKind.OUTPUT and isinstance(entry.value, str):
        _check_kind(entry.value, entry.place, NameKind.OUTPUT, scope)
    elif kind is FieldKind.SIGNAL and isinstance(entry.value, Signal):
        _check_kind(entry.value.name, entry.place, NameKind.SIGNAL, scope)


def _check_kind(name: str, place: Place, kind: NameKind, scope: Scope) -> None:
    known = scope.names.kinds.get(name)
    if known is not None and known is not kind:
        scope.log.note(place, kind.value, f"{name!r}, {known.value}")
    elif known is None and not scope.names.is_doubtful(name):
        scope.log.unknown(place, kind.value, name, scope.names.of_kind(kind))


def _value(value: FieldValue, kind: FieldKind, place: Place, scope: Scope) -> FieldValue:
    match kind:
        case FieldKind.CONDITION if isinstance(value, Expression):
            return scope.resolved(value)
        case FieldKind.CONDITIONS if isinstance(value, tuple):
            return tuple(scope.resolved(part) for part in value if isinstance(part, Expression))
        case FieldKind.STATES if isinstance(value, tuple):
            return tuple(_state(state, scope) for state in value if isinstance(state, FreeState))
        case FieldKind.ACTS if isinstance(value, tuple):
            return tuple(_act(act, place, scope) for act in value if isinstance(act, Act))
        case FieldKind.NAME if isinstance(value, str):
            return _any_name(value, place, scope)
        case FieldKind.NAMES if isinstance(value, tuple) and value != (EVERY,):
            return tuple(_any_name(name, place, scope) for name in value if isinstance(name, str))
    return value


def _state(state: FreeState, scope: Scope) -> FreeState:
    return replace(state, moves=tuple(_move(move, scope) for move in state.moves))


def _move(move: FreeMove, scope: Scope) -> FreeMove:
    return move if move.when is None else replace(move, when=scope.resolved(move.when))


def _act(act: Act, place: Place, scope: Scope) -> Act:
    if act.device not in scope.names.behaviours:
        _check_kind(act.device, place, NameKind.DEVICE, scope)  # a circuit fails and is repaired, too
    known = acts_of(act.device, scope.names)
    is_known = act.act in known or act.device not in scope.names.behaviours
    if not is_known and not scope.names.is_doubtful(act.device):
        scope.log.unknown(place, f"an act on {act.device}", act.act, known)
    return act


def _any_name(name: str, place: Place, scope: Scope) -> str:
    """Return a name defined anywhere in the file; that of a step in its full form."""
    steps = scope.names.steps_called(name)
    if len(steps) == 1:
        return steps[0].full
    if steps:
        full = " or ".join(step.full for step in steps)
        scope.log.note(place, f"the step with its chart ({full})", repr(name))
    elif not _is_known(name, scope.names):
        known = (*scope.names.kinds, *scope.names.failures, *scope.names.step_spellings())
        scope.log.unknown(place, "a name defined in this file", name, known)
    return name


def _is_known(name: str, names: Names) -> bool:
    return name in names.kinds or name in names.failures or names.is_doubtful(name)
