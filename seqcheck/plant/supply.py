"""A supply of compressed air or control power that may be lost, and that comes back.

It is on while its condition holds (a dump valve open, an isolator on, another supply on), and takes time to fall and to
rise: until the end of the fall what it feeds may still move. Without a condition it is on until it fails.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import condition_drive, file_error, required, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import linked, lost_way_links, lost_way_mode
from seqcheck.plant.travel import RESUMED, End, Travel, Way
from seqcheck.quantities.time import TimeRange

_ON = frozenset({"is_on"})

_EBBING = RESUMED + "ebbing"

_FIELDS = (
    Field(
        name="while",
        kind=FieldKind.CONDITION,
        meaning="what keeps it on; if not given, only its failure takes it away",
    ),
    Field(
        name="fall",
        kind=FieldKind.TIME_RANGE,
        meaning="from its loss to nothing being driven any more",
        required=True,
    ),
    Field(
        name="rise",
        kind=FieldKind.TIME_RANGE,
        meaning="from its return to everything being driven",
        required=True,
    ),
    Field(
        name="signal", kind=FieldKind.SIGNAL, meaning="input that is on while it is on (pressure or voltage)"
    ),
    Field(
        name="initially",
        kind=FieldKind.WORD,
        choices=("on", "off"),
        meaning="how it is found at the start; on if not given",
    ),
)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The supply's positions, with the modes lost and stays_on.

    Raises SequenceFileError if a supply that nothing switches is found off.
    """
    wires = wires_of(device, signal="signal")
    has_condition = device.entry("while") is not None
    if not has_condition and device.value("initially", str) == "off":
        raise file_error(
            device, "initially", expected="a supply with a condition 'while' that may be off", found="off"
        )
    travel = _travel(device)
    return Behaviour(
        device=device.name,
        positions=_switched(travel) if has_condition else _permanent(travel),
        initial=device.value("initially", str) or "on",
        facts=_facts(travel),
        drives=_drives(device),
        wires=wires,
        failures=(*_failures(has_condition), *contact_failures(wires)),
    )


def _facts(travel: Travel) -> tuple[str, ...]:
    """Its facts; it is never changing where both changes take no time."""
    changing = ("is_changing",) if any(way.stages for way in travel.ways) else ()
    return ("is_on", "is_off", *changing)


def _drives(device: Device) -> tuple[Drive, ...]:
    return (condition_drive(device, "while"),) if device.entry("while") else ()


def _failures(has_condition: bool) -> tuple[Failure, ...]:
    lost = Failure(name="lost", text="is lost", mode="lost")
    stays = Failure(
        name="stays_on", text="does not go off: it is not vented or switched off", mode="stays_on"
    )
    return (lost, stays) if has_condition else (lost,)


def _travel(device: Device) -> Travel:
    off = End(name="off", facts=frozenset({"is_off"}))
    on = End(name="on", facts=_ON, signals=frozenset({"signal"}))
    return Travel(
        Way(
            start=off,
            end=on,
            going="returning",
            when=(("while", True),),
            within=required(device, "rise", TimeRange),
            facts=frozenset({"is_changing"}),
        ),
        Way(
            start=on,
            end=off,
            going="failing",
            when=(("while", False),),
            within=required(device, "fall", TimeRange),
            facts=_ON | {"is_changing"},
        ),
    )


def _switched(travel: Travel) -> tuple[Position, ...]:
    healthy = _with_ebbing(travel)
    modes = {"lost": _lost_links(travel), "stays_on": lost_way_links(travel.back)}
    return (
        *linked(healthy, modes),
        *_lost_mode(travel, repaired_as=None),
        *lost_way_mode("stays_on", healthy, travel.back, travel.forth, lost_facts=frozenset({"is_changing"})),
    )


def _with_ebbing(travel: Travel) -> tuple[Position, ...]:
    """The positions of the travel; lost before it was on, a supply ebbs, and is on at no moment of that."""
    if not (travel.forth.stages and travel.back.stages):
        return travel.positions()
    ebbing = Position(
        name=_EBBING,
        facts=frozenset({"is_changing"}),
        moves=(
            Move(name="ebb", to="off", after=up_to(travel.back.within)),
            Move(name=travel.forth.driven, to=RESUMED + travel.forth.going, when=travel.forth.when),
        ),
    )
    return (*(_ebbing_from(position, travel) for position in travel.positions()), ebbing)


def _ebbing_from(position: Position, travel: Travel) -> Position:
    if position.name.removeprefix(RESUMED) not in travel.forth.stages:
        return position
    moves = (
        replace(move, to=_EBBING) if move.name == travel.back.driven else move for move in position.moves
    )
    return replace(position, moves=tuple(moves))


def _permanent(travel: Travel) -> tuple[Position, ...]:
    """On, or on its way back after a repair."""
    kept = ("on", *travel.forth.stages, *(RESUMED + stage for stage in travel.forth.stages))
    healthy = tuple(
        replace(position, moves=tuple(move for move in position.moves if not move.when))
        for position in travel.positions()
        if position.name in kept
    )
    back = RESUMED + travel.forth.going if travel.forth.stages else "on"
    return (*linked(healthy, {"lost": _lost_links(travel)}), *_lost_mode(travel, repaired_as=back))


def _lost_links(travel: Travel) -> dict[str, str]:
    """What is on falls; what was only rising is gone."""
    rising = {name: "off" for stage in travel.forth.stages for name in (stage, RESUMED + stage)}
    return {"on": travel.back.first, _EBBING: "off", **rising}


def _lost_mode(travel: Travel, repaired_as: str | None) -> tuple[Position, ...]:
    """It falls as ever, and does not come back. `repaired_as` None: as the healthy position of that name.

    A supply that nothing switches falls only when lost, so that nothing of it is under way before.
    """
    first = repaired_as and travel.forth.first
    gone = Position(name="off", mode="lost", facts=frozenset({"is_off"}), is_rest=True, repaired_as=first)
    falling = (
        Position(
            name=position.name,
            mode="lost",
            facts=position.facts,
            signals=position.signals,
            moves=tuple(move for move in position.moves if not move.when),
            repaired_as=repaired_as,
        )
        for position in travel.positions()
        if position.name in travel.back.stages
        or (repaired_as is None and position.name.removeprefix(RESUMED) in travel.back.stages)
    )
    return (gone, *falling)


SUPPLY = DeviceType(
    name="supply",
    meaning="Compressed air or control power, which may be lost and come back",
    fields=_FIELDS,
    behaviour=_behaviour,
)
