"""The roll on the unwind: it runs low, which a switch tells, and then empty, unless it is replaced."""

from __future__ import annotations

from seqcheck.language.expression import Name
from seqcheck.language.field import Field, FieldKind, Signal
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Move, Position, contact_failures
from seqcheck.plant.device_entry import place_of, required, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_RUNS, _STANDS = (("unwinding", True),), (("unwinding", False),)
_REPLACED = Move(name="replaced", to="plenty", act="replaced")

_FIELDS = (
    Field(name="low", kind=FieldKind.SIGNAL, meaning="input that is on when the roll ends soon"),
    Field(
        name="remaining",
        kind=FieldKind.TIME_RANGE,
        meaning="from low to empty while the unwind runs at speed; required with a low signal",
    ),
    Field(
        name="unwind", kind=FieldKind.NAME, meaning="the drive device that the roll sits on", required=True
    ),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The roll's positions; only its contact fails. Standing does not use it up.

    Raises SequenceFileError if there is a low signal without the time that remains.
    """
    wires = wires_of(device, low="low")
    unwind = Name(place_of(device, "unwind"), f"{required(device, 'unwind', str)}.is_at_speed")
    return Behaviour(
        device=device.name,
        positions=_positions(_remaining(device)),
        initial="plenty",
        facts=("is_low", "is_empty"),
        drives=(Drive(role="unwinding", condition=unwind),),
        wires=wires,
        failures=contact_failures(wires),
    )


def _remaining(device: Device) -> TimeRange:
    """From low to empty; at any time or never where the file does not say and no signal tells."""
    if device.value("low", Signal) is not None:
        return required(device, "remaining", TimeRange)
    return device.value("remaining", TimeRange) or TimeRange(0, None)


def _positions(remaining: TimeRange) -> tuple[Position, ...]:
    runs_low = Move(name="runs_low", to="low", when=_RUNS, act="runs_low", unobserved=True)
    empty = frozenset({"is_low", "is_empty"})
    return (
        Position(name="plenty", moves=(runs_low,), is_rest=True),
        _low("low", remaining),
        _low("resumed_low", up_to(remaining)),
        Position(
            name="low_standing",
            facts=frozenset({"is_low"}),
            signals=frozenset({"low"}),
            moves=(Move(name="goes_on", to="resumed_low", when=_RUNS), _REPLACED),
            is_rest=True,
        ),
        Position(name="empty", facts=empty, signals=frozenset({"low"}), moves=(_REPLACED,), is_rest=True),
    )


def _low(name: str, remaining: TimeRange) -> Position:
    """The roll runs out while the unwind runs."""
    run_out = Move(name="run_out", to="empty", after=remaining)
    stand = Move(name="stands", to="low_standing", when=_STANDS)
    return Position(
        name=name,
        facts=frozenset({"is_low"}),
        signals=frozenset({"low"}),
        moves=(run_out, stand, _REPLACED),
    )


ROLL = DeviceType(
    name="roll",
    meaning="The roll on an unwind, with end-of-roll detection",
    fields=_FIELDS,
    behaviour=_behaviour,
)
