"""A device written in the sequence file itself, as states with facts, signals and ways out.

A failure leads into states of its mode: those reachable from it without another failure. They are named
`failure:state`, so that the failure cannot happen anywhere but where the file says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from seqcheck.language.expression import Expression
from seqcheck.language.field import Field, FieldKind, FreeMove, FreeState, Signal
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Move, Position, Wire, contact_failures
from seqcheck.plant.device_entry import file_error, required
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.free_states import check_states, failure_entries, failure_names, reachable_states

_FIELDS = (
    Field(name="outputs", kind=FieldKind.OUTPUTS, meaning="outputs that its conditions name"),
    Field(
        name="states",
        kind=FieldKind.STATES,
        meaning="the states of the device, with the facts and signals in each and the ways out",
        required=True,
    ),
)

_Roles = dict[int, str]
"""From the identity of a move in the file to the role of its drive."""


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The states as positions, and one mode a failure.

    Raises SequenceFileError if the states contradict each other or form a loop that stops time.
    """
    states: tuple[FreeState, ...] = required(device, "states", tuple)
    check_states(device, states)
    drives, roles = _drives(states)
    initial = next(state.name for state in states if state.initial)
    wires = _wires(device, states)
    return Behaviour(
        device=device.name,
        positions=_positions(states, initial, roles),
        initial=initial,
        facts=tuple(_in_order(fact for state in states for fact in state.facts)),
        drives=drives,
        wires=wires,
        failures=(*_failures(states), *contact_failures(wires)),
        moving_facts=_moving_facts(states),
    )


def _in_order(names: Iterable[str]) -> list[str]:
    """Each name once, in the order of the file."""
    return list(dict.fromkeys(names))


def _moving_facts(states: tuple[FreeState, ...]) -> tuple[str, ...]:
    return ("is_moving",) if any("is_moving" in state.facts for state in states) else ()


def _drives(states: tuple[FreeState, ...]) -> tuple[tuple[Drive, ...], _Roles]:
    """One drive for every condition of a way out, numbered in the order of the file."""
    conditions: list[tuple[FreeMove, Expression]] = [
        (move, move.when) for state in states for move in state.moves if move.when is not None
    ]
    drives = tuple(
        Drive(role=f"move_{number}", condition=condition)
        for number, (_, condition) in enumerate(conditions, start=1)
    )
    roles = {id(move): drive.role for (move, _), drive in zip(conditions, drives, strict=True)}
    return drives, roles


def _wires(device: Device, states: tuple[FreeState, ...]) -> tuple[Wire, ...]:
    """One wire a signal. A delay given in one state counts in all.

    Raises SequenceFileError if states give different delays.
    """
    found: dict[str, Signal] = {}
    for signal in (signal for state in states for signal in state.signals):
        known = found.setdefault(signal.name, signal)
        if known.delay is None:
            found[signal.name] = signal
        elif signal.delay not in (None, known.delay):
            raise file_error(device, "states", expected=f"one delay of {signal.name}", found="two")
    return tuple(Wire(role=name, signal=signal) for name, signal in found.items())


def _positions(states: tuple[FreeState, ...], initial: str, roles: _Roles) -> tuple[Position, ...]:
    sound = reachable_states(states, (initial,))
    healthy = [_position(state, roles) for state in states if state.name in sound]
    failed = [
        position
        for name in failure_names(states)
        for position in _failed_mode(name, states, sound=sound, initial=initial, roles=roles)
    ]
    return (*healthy, *failed)


def _failures(states: tuple[FreeState, ...]) -> tuple[Failure, ...]:
    return tuple(Failure(name=name, text=name.replace("_", " "), mode=name) for name in failure_names(states))


def _position(state: FreeState, roles: _Roles) -> Position:
    """A state as a position; it is a rest where time alone does not end it."""
    moves = tuple(_moves(state, roles))
    return Position(
        name=state.name,
        facts=frozenset(state.facts),
        signals=frozenset(signal.name for signal in state.signals),
        moves=moves,
        fails_as=tuple(
            (move.failure, f"{move.failure}:{move.to}") for move in state.moves if move.failure is not None
        ),
        is_rest=not any(move.after for move in moves),
    )


def _moves(state: FreeState, roles: _Roles) -> Iterator[Move]:
    """The ways out. Names are the state's own, so that no time is carried over from one state to the next."""
    for number, move in enumerate(state.moves, start=1):
        if move.failure is None:
            when = ((roles[id(move)], True),) if move.when is not None else ()
            name = move.act if move.act is not None else f"{state.name}_{number}_to_{move.to}"
            yield Move(name=name, to=move.to, when=when, after=move.after, act=move.act)


def _failed_mode(
    name: str, states: tuple[FreeState, ...], *, sound: frozenset[str], initial: str, roles: _Roles
) -> list[Position]:
    """The states that failure `name` leads to.

    Repair leads to the same state, or to the initial one where only a failure leads to that state.
    """
    entries = failure_entries(states, name, sound)
    reached = reachable_states(states, entries)
    return [
        _failed_position(_position(state, roles), name, state.name if state.name in sound else initial)
        for state in states
        if state.name in reached
    ]


def _failed_position(position: Position, mode: str, repaired_as: str) -> Position:
    return replace(
        position,
        name=f"{mode}:{position.name}",
        mode=mode,
        moves=tuple(replace(move, to=f"{mode}:{move.to}") for move in position.moves),
        fails_as=(),
        repaired_as=repaired_as,
    )


FREE = DeviceType(
    name="free",
    meaning="A device written in the file as states with time ranges",
    fields=_FIELDS,
    behaviour=_behaviour,
)
