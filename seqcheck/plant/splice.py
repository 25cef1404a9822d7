"""The splice in the web, and what looks at it downstream: missed, doubled, out of tolerance, or as it should be.

The picture: while its condition holds (the press is closed) a splice is made. Once the web runs it travels to a detector,
passes it, and is past. The detector tells that a splice passes, that it is twice as thick, or that it lies out of
tolerance; web after the cut is told for as long as there is any::

    none -> made -> travelling -> passing -> past -> none
              \\-> missed: the webs part as soon as they are pulled, no splice passes, and no web comes after the cut

Its failures are what can go wrong at the making, and each lasts until it is repaired: the next splice fails likewise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import condition_drive, moving_time, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.travel import RESUMED
from seqcheck.quantities.time import TimeRange

_FIELDS = (
    Field(
        name="made while",
        kind=FieldKind.CONDITION,
        meaning="while it holds, the splice is made, such as the press closed on the tape",
        required=True,
    ),
    Field(
        name="runs while",
        kind=FieldKind.CONDITION,
        meaning="while it holds, the web at the splice runs",
        required=True,
    ),
    Field(
        name="travel",
        kind=FieldKind.TIME_RANGE,
        meaning="from the web's starting to run to the splice at the detector",
        required=True,
    ),
    Field(
        name="passes",
        kind=FieldKind.TIME_RANGE,
        meaning="how long the splice is at the detector",
        required=True,
    ),
    Field(name="seen", kind=FieldKind.SIGNAL, meaning="input that is on while a splice passes the detector"),
    Field(
        name="double", kind=FieldKind.SIGNAL, meaning="input that is on while a splice twice as thick passes"
    ),
    Field(
        name="off", kind=FieldKind.SIGNAL, meaning="input that is on while a splice out of tolerance passes"
    ),
    Field(name="web", kind=FieldKind.SIGNAL, meaning="input that is on while there is web after the cut"),
)

_MADE, _RUNS = "made", "runs"
_WEB = frozenset({"web"})
_PASSING = ("passing", RESUMED + "passing", "stopped_passing")
_JOINED = ("made", "travelling", RESUMED + "travelling", "waiting", *_PASSING)
_STAGES = ("none", *_JOINED, "past")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """A kind of splice: its mode ("" is as it should be), what it is while in the web, and what the detector tells besides."""

    mode: str = ""
    fact: str | None = None
    signal: str | None = None


_GOOD = _Kind()
_DOUBLED = _Kind(mode="doubled", fact="is_double", signal="double")
_OFF = _Kind(mode="out_of_tolerance", fact="is_out_of_tolerance", signal="off")
_MISSED = "missed"


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The splice's positions, with the modes missed, doubled and out_of_tolerance."""
    travel, passes = moving_time(device, "travel"), moving_time(device, "passes")
    wires = wires_of(device, seen="seen", double="double", off="off", web="web")
    return Behaviour(
        device=device.name,
        positions=(
            *(replace(part, fails_as=_links(part.name)) for part in _cycle(_GOOD, travel, passes)),
            *_cycle(_DOUBLED, travel, passes),
            *_cycle(_OFF, travel, passes),
            *_missed(travel),
        ),
        initial="none",
        facts=("is_made", "is_passing", "is_missing", "is_double", "is_out_of_tolerance", "is_parted"),
        drives=(
            condition_drive(device, "made while", role=_MADE),
            condition_drive(device, "runs while", role=_RUNS),
        ),
        wires=wires,
        failures=(
            Failure(name="missed", text="no tape is on the splice", mode=_MISSED),
            Failure(name="doubled", text="two tapes are on the splice", mode=_DOUBLED.mode),
            Failure(name="out_of_tolerance", text="the splice is out of tolerance", mode=_OFF.mode),
            *contact_failures(wires),
        ),
    )


def _links(name: str) -> tuple[tuple[str, str], ...]:
    """A splice can only be a wrong one once it has been made, and before it has come to the detector."""
    if name not in ("made", "travelling", RESUMED + "travelling"):
        return ()
    cycles = tuple((kind.mode, f"{kind.mode}_{name}") for kind in (_DOUBLED, _OFF))
    return (*cycles, (_MISSED, f"{_MISSED}_{name}"))


def _cycle(kind: _Kind, travel: TimeRange, passes: TimeRange) -> tuple[Position, ...]:
    """The splice from none to none. A failed mode has names of its own."""
    prefix = f"{kind.mode}_" if kind.mode else ""
    found = (_position(stage, kind, _moves(stage, travel, passes)) for stage in _STAGES)
    return tuple(
        replace(
            position,
            name=prefix + position.name,
            moves=tuple(replace(move, to=prefix + move.to) for move in position.moves),
            repaired_as=position.name if kind.mode else None,
        )
        for position in found
    )


def _position(stage: str, kind: _Kind, moves: tuple[Move, ...]) -> Position:
    facts, signals = set[str](), set(_WEB)
    if stage in _JOINED:
        facts |= {"is_made", *({kind.fact} if kind.fact else ())}
    if stage in _PASSING:
        facts.add("is_passing")
        signals |= {"seen", *({kind.signal} if kind.signal else ())}
    return Position(
        name=stage,
        mode=kind.mode,
        facts=frozenset(facts),
        signals=frozenset(signals),
        moves=moves,
        is_rest=all(move.after is None for move in moves),
    )


def _moves(stage: str, travel: TimeRange, passes: TimeRange) -> tuple[Move, ...]:
    runs, stands = ((_RUNS, True),), ((_RUNS, False),)
    match stage:
        case "none":
            return (Move(name="make", to="made", when=((_MADE, True),)),)
        case "made":
            return (Move(name="start", to="travelling", when=runs),)
        case "travelling" | "resumed_travelling":
            within = travel if stage == "travelling" else up_to(travel)
            return (
                Move(name="arrive", to="passing", after=within),
                Move(name="stop", to="waiting", when=stands),
            )
        case "waiting":
            return (Move(name="start", to=RESUMED + "travelling", when=runs),)
        case "passing" | "resumed_passing":
            return (
                Move(name="pass", to="past", after=passes if stage == "passing" else up_to(passes)),
                Move(name="stop", to="stopped_passing", when=stands),
            )
        case "stopped_passing":
            return (Move(name="start", to=RESUMED + "passing", when=runs),)
    return (Move(name="forget", to="none", when=((_MADE, False),)),)


def _missed(travel: TimeRange) -> tuple[Position, ...]:
    """No tape: pulled, the webs part, and what comes after the cut stays away."""
    facts = frozenset({"is_missing"})
    runs, stands = ((_RUNS, True),), ((_RUNS, False),)
    part = Move(name="part", to=f"{_MISSED}_parted", after=up_to(travel))
    stop = Move(name="stop", to=f"{_MISSED}_made", when=stands)
    under_way = (f"{_MISSED}_travelling", f"{_MISSED}_{RESUMED}travelling")
    moves = {
        f"{_MISSED}_made": (Move(name="start", to=under_way[0], when=runs),),
        **dict.fromkeys(under_way, (part, stop)),
    }
    pulled = tuple(
        Position(name=name, mode=_MISSED, facts=facts, signals=_WEB, moves=found, repaired_as="none")
        for name, found in moves.items()
    )
    parted = f"{_MISSED}_parted"
    gone = Position(name=parted, mode=_MISSED, facts=facts | {"is_parted"}, is_rest=True, repaired_as="none")
    return (*pulled, gone)


SPLICE = DeviceType(
    name="splice",
    meaning="The splice in the web, and the detector that it passes",
    fields=_FIELDS,
    behaviour=_behaviour,
)
