"""A keyed mode selector: a position for each mode, each with its own contact; whoever has the key turns it to any position.

In between no contact may be made for some time (break before make). Source: IEC 60204-1 9.2.3.5 (mode selection by key or access
code), from memory; the contacts are common practice, no source.
"""

from __future__ import annotations

from seqcheck.language.field import Field, FieldKind, FreeState
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Move, Position, Wire, contact_failures
from seqcheck.plant.device_entry import file_error, latest_us
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_TURNING = "is_turning"


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """A position for each mode and, where it takes time, one for the way to each.

    Raises SequenceFileError if there are fewer than two modes, or it is found in one that there is not.
    """
    modes = _modes(device)
    names = tuple(mode.name for mode in modes)
    if len(modes) < 2:
        raise file_error(device, "positions", expected="two or more positions", found=str(len(modes)))
    initial = device.value("initially", str) or names[0]
    if initial not in names:
        raise file_error(device, "initially", expected=f"one of its positions ({', '.join(names)})", found=repr(initial))
    gap = device.value("between", TimeRange)
    takes_time = gap is not None and latest_us(gap) > 0
    wires = tuple(Wire(role=mode.name, signal=signal) for mode in modes for signal in mode.signals)
    under_way = tuple(_under_way(name, gap) for name in names) if takes_time else ()
    return Behaviour(
        device=device.name,
        positions=(*(_position(name, names, takes_time=takes_time) for name in names), *under_way),
        initial=initial,
        facts=(*(f"is_{name}" for name in names), *((_TURNING,) if takes_time else ())),
        wires=wires,
        failures=contact_failures(wires),
    )


def _modes(device: Device) -> tuple[FreeState, ...]:
    states = device.value("positions", tuple) or ()
    modes = tuple(state for state in states if isinstance(state, FreeState))
    if any(f"is_{mode.name}" == _TURNING for mode in modes):
        raise file_error(device, "positions", expected="a position that is not 'turning'", found="'turning'")
    return modes


def _position(name: str, names: tuple[str, ...], *, takes_time: bool) -> Position:
    acts = (f"turns_to_{other}" for other in names if other != name)
    moves = tuple(Move(name=act, to=_after(act, takes_time=takes_time), act=act) for act in acts)
    return Position(
        name=name, facts=frozenset({f"is_{name}"}), signals=frozenset({name}), moves=moves, is_rest=True
    )


def _after(act: str, *, takes_time: bool) -> str:
    return act if takes_time else act.removeprefix("turns_to_")


def _under_way(name: str, gap: TimeRange | None) -> Position:
    return Position(
        name=f"turns_to_{name}",
        facts=frozenset({_TURNING}),
        moves=(Move(name=f"arrives_at_{name}", to=name, after=gap),),
    )


MODE_SELECTOR = DeviceType(
    name="mode_selector",
    meaning="A keyed mode selector",
    fields=(
        Field(
            name="positions",
            kind=FieldKind.POSITIONS,
            meaning="its positions, each with the input that is on in it",
            required=True,
        ),
        Field(
            name="between",
            kind=FieldKind.TIME_RANGE,
            meaning="time without any contact while it is turned; none if not given",
        ),
        Field(name="initially", kind=FieldKind.TEXT, meaning="position at the start; the first if not given"),
    ),
    behaviour=_behaviour,
)
