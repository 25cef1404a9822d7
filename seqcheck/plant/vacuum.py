"""Vacuum: built while its output is on, decaying after; it may not come about, and a held one may be lost.

Without the air of its ejector it decays; behind a non-return valve it still lasts for the time `hold`.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.expression import And, Name
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import (
    condition_drive,
    file_error,
    output_drive,
    place_of,
    required,
    up_to,
    wires_of,
)
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import linked, lost_way_links, lost_way_mode
from seqcheck.plant.spool import AIR
from seqcheck.plant.travel import RESUMED, Condition, End, Travel, Way
from seqcheck.quantities.time import TimeRange

LASTING = "lasting"
"""The position of a vacuum that lasts without air."""

_AIR_MOVES = frozenset({"air_lost", "air_returns", "leak"})

_FIELDS = (
    Field(name="output", kind=FieldKind.OUTPUT, meaning="output that draws the vacuum"),
    Field(
        name="while",
        kind=FieldKind.CONDITION,
        meaning="instead of an output: what draws the vacuum, such as a valve that is open",
    ),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the output needs"),
    Field(name="air", kind=FieldKind.ENERGY, meaning="supply or circuit without which no vacuum is drawn"),
    Field(
        name="hold",
        kind=FieldKind.TIME_RANGE,
        meaning="how long a vacuum lasts without air before it decays; not at all if not given",
    ),
    Field(
        name="build",
        kind=FieldKind.TIME_RANGE,
        meaning="from the command to a vacuum that holds",
        required=True,
    ),
    Field(
        name="decay",
        kind=FieldKind.TIME_RANGE,
        meaning="from the loss of the command to a fully decayed vacuum",
        required=True,
    ),
    Field(name="made", kind=FieldKind.SIGNAL, meaning="input that is on when the vacuum holds"),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The vacuum's positions, with the modes not_built and lost."""
    wires = wires_of(device, made="made")
    return Behaviour(
        device=device.name,
        positions=_all_positions(_travel(device), device.value("hold", TimeRange)),
        initial="released",
        facts=("is_held", "is_released"),
        drives=_drives(device),
        wires=wires,
        failures=(
            Failure(name="not_built", text="vacuum is not built", mode="not_built"),
            Failure(name="lost", text="held vacuum is lost", mode="lost"),
            *contact_failures(wires),
        ),
    )


def _drives(device: Device) -> tuple[Drive, ...]:
    """What draws the vacuum, and the air where a vacuum lasts without it.

    Raises SequenceFileError unless one of `output` and `while` is given, or if a vacuum lasts without air that it does not need.
    """
    if (device.entry("output") is None) == (device.entry("while") is None):
        found = "both" if device.entry("while") else "neither"
        raise file_error(device, "while", expected="one of the fields 'output' and 'while'", found=found)
    drawn = (
        output_drive(device, "output")
        if device.entry("output")
        else condition_drive(device, "while", role="output")
    )
    air = device.value("air", str)
    if air is None:
        if device.entry("hold"):
            raise file_error(device, "hold", expected=f"a field 'air' of {device.name}", found="none")
        return (drawn,)
    place = place_of(device, "air")
    supply = Name(place, f"{air}.is_on")
    if device.entry("hold"):
        return (drawn, Drive(role=AIR, condition=supply))
    return (replace(drawn, condition=And(place, (drawn.condition, supply))),)


def _travel(device: Device) -> Travel:
    released = End(name="released", facts=frozenset({"is_released"}))
    held = End(name="held", facts=frozenset({"is_held"}), signals=frozenset({"made"}))
    return Travel(
        Way(
            start=released,
            end=held,
            going="building",
            when=(("output", True),),
            within=required(device, "build", TimeRange),
            facts=frozenset(),
        ),
        Way(
            start=held,
            end=released,
            going="decaying",
            when=(("output", False),),
            within=required(device, "decay", TimeRange),
            facts=frozenset(),
        ),
    )


def _all_positions(travel: Travel, hold: TimeRange | None) -> tuple[Position, ...]:
    healthy = travel.positions() if hold is None else _without_air(travel, hold)
    not_built = lost_way_mode(
        "not_built", healthy, travel.forth, travel.back, lost_facts=frozenset(), also=_AIR_MOVES
    )
    modes = {"not_built": lost_way_links(travel.forth), "lost": {"held": "losing", LASTING: "losing"}}
    return (*linked(healthy, modes), *not_built, *_lost_mode(travel.back))


def _without_air(travel: Travel, hold: TimeRange) -> tuple[Position, ...]:
    """The positions of a vacuum behind a non-return valve: without air it is not built further, and lasts for a while."""
    decaying = RESUMED + travel.back.going if travel.back.stages else "released"
    shut = Move(name=travel.back.driven, to=travel.back.first, when=(("output", False),))
    no_air = (("output", True), (AIR, False))
    lasting = Position(
        name=LASTING,
        facts=frozenset({"is_held"}),
        signals=frozenset({"made"}),
        moves=(
            Move(name="leak", to=travel.back.first, after=hold),
            Move(name="air_returns", to="held", when=(("output", True), (AIR, True))),
            shut,
        ),
    )
    return (*(_fed(position, no_air, decaying) for position in travel.positions()), lasting)


def _fed(position: Position, no_air: Condition, decaying: str) -> Position:
    """A position of the travel, where a vacuum is only drawn with air."""
    fed = (("output", True), (AIR, True))
    moves = tuple(
        replace(move, when=fed) if move.when == (("output", True),) else move for move in position.moves
    )
    under_way = position.name.removeprefix(RESUMED) == "building"
    lose = {"held": LASTING}.get(position.name, decaying if under_way else None)
    lost = () if lose is None else (Move(name="air_lost", to=lose, when=no_air),)
    return replace(position, moves=(*moves, *lost))


def _lost_mode(decay: Way) -> tuple[Position, ...]:
    """A leak lets the held vacuum decay, as fast as it likes, and no other comes about.

    The positions have names of their own: only a held vacuum can be lost.
    """
    losing = Position(
        name="losing",
        mode="lost",
        moves=(Move(name="decay", to="gone", after=up_to(decay.within)),),
        repaired_as=RESUMED + decay.going if decay.stages else "released",
    )
    gone = Position(name="gone", mode="lost", facts=frozenset({"is_released"}), repaired_as="released")
    return (losing, gone)


VACUUM = DeviceType(
    name="vacuum",
    meaning="A vacuum that holds tape or web",
    fields=_FIELDS,
    behaviour=_behaviour,
)
