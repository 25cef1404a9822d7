"""The roll on the unwind: it runs low, which a switch tells, and then empty, unless it is replaced.

When it runs out is left open: at any moment after low, or never. The time that `remaining` states is what the requirement
`roll lasts until` is held against; were it an event of 100 s beside scans of milliseconds, every repeated act of the operator
would be another class. A run in which the roll lasts as long as stated is one of those explored, so nothing is missed.
"""

from __future__ import annotations

from seqcheck.language.expression import Name
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Move, Position, contact_failures
from seqcheck.plant.device_entry import place_of, required, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_RUNS = (("unwinding", True),)
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
    if wires:
        required(device, "remaining", TimeRange)
    unwind = Name(place_of(device, "unwind"), f"{required(device, 'unwind', str)}.is_at_speed")
    return Behaviour(
        device=device.name,
        positions=_positions(),
        initial="plenty",
        facts=("is_low", "is_empty"),
        drives=(Drive(role="unwinding", condition=unwind),),
        wires=wires,
        failures=contact_failures(wires),
    )


def _positions() -> tuple[Position, ...]:
    runs_low = Move(name="runs_low", to="low", when=_RUNS, act="runs_low", unobserved=True)
    runs_out = Move(name="runs_out", to="empty", when=_RUNS, act="runs_out", unobserved=True)
    low, empty = frozenset({"is_low"}), frozenset({"is_low", "is_empty"})
    tells = frozenset({"low"})
    return (
        Position(name="plenty", moves=(runs_low,), is_rest=True),
        Position(name="low", facts=low, signals=tells, moves=(runs_out, _REPLACED), is_rest=True),
        Position(name="empty", facts=empty, signals=tells, moves=(_REPLACED,), is_rest=True),
    )


ROLL = DeviceType(
    name="roll",
    meaning="The roll on an unwind, with end-of-roll detection",
    fields=_FIELDS,
    behaviour=_behaviour,
)
