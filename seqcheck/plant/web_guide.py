"""A web guide: it keeps the web's edge where its sensor wants it, is held during a splice, and can be centred before one.

The picture: told nothing it guides. `hold` freezes it where it is; `centre` sends it to the middle of its travel, so that the web
of the other roll finds its whole travel; hold is stronger. Let go, it takes the time `settle` until the web is guided again.

    guiding -> held -> recovering -> guiding        centring -> centred

How far the guide has to go to its centre is not known, so that may take anything up to the whole travel at the slowest rate.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import file_error, moving_time, output_drive, required, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.travel import Condition
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange

RATE_SPREAD = 0.05
"""The rate that is reached, more or less than the stated one. Common practice, no source."""

_FIELDS = (
    Field(
        name="hold", kind=FieldKind.OUTPUT, meaning="output that holds the guide where it is", required=True
    ),
    Field(name="centre", kind=FieldKind.OUTPUT, meaning="output that sends it to the middle of its travel"),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the outputs need"),
    Field(name="travel", kind=FieldKind.LENGTH, meaning="how far it can go to either side", required=True),
    Field(name="rate", kind=FieldKind.SPEED, meaning="how fast it moves, 5 % more or less", required=True),
    Field(
        name="settle",
        kind=FieldKind.TIME_RANGE,
        meaning="from being let go to the web being guided again",
        required=True,
    ),
    Field(name="accuracy", kind=FieldKind.LENGTH, meaning="how far off the guided web may lie, either way"),
    Field(
        name="weave",
        kind=FieldKind.LENGTH,
        meaning="how far to the side the web before it may lie, either way",
    ),
    Field(
        name="drive", kind=FieldKind.NAME, meaning="the drive that moves its web; the first unwind if not given"
    ),
    Field(name="span", kind=FieldKind.LENGTH, meaning="free web from the guide to where it is spliced"),
    Field(name="centred", kind=FieldKind.SIGNAL, meaning="input that is on in the middle of the travel"),
    Field(name="limit", kind=FieldKind.SIGNAL, meaning="input that is on at an end of the travel"),
    Field(
        name="edge", kind=FieldKind.SIGNAL, meaning="input that is on while the sensor sees the web's edge"
    ),
)

_FACTS = {
    "guiding": frozenset({"is_guiding"}),
    "recovering": frozenset({"is_recovering"}),
    "held": frozenset({"is_held"}),
    "centring": frozenset({"is_centring"}),
    "centred": frozenset({"is_centred", "is_held"}),
    "held_centred": frozenset({"is_centred", "is_held"}),
    "at_limit": frozenset({"is_at_limit"}),
}
_IN_CENTRE = ("centred", "held_centred")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Guide:
    """The times of one guide, and whether it can be centred."""

    settle: TimeRange
    centre: TimeRange
    run_off: TimeRange
    can_centre: bool

    @property
    def places(self) -> tuple[str, ...]:
        """Its positions while it is sound."""
        own = ("guiding", "recovering", "held")
        return (*own, "centring", *_IN_CENTRE) if self.can_centre else own

    def driven(self, place: str) -> dict[str, Condition]:
        """Where its outputs send it from a place."""
        let_go = "guiding" if place == "guiding" else "recovering"
        if not self.can_centre:
            found: dict[str, Condition] = {"held": (("hold", True),), let_go: (("hold", False),)}
        else:
            held, centring = ("held_centred", "centred") if place in _IN_CENTRE else ("held", "centring")
            found = {
                held: (("hold", True),),
                centring: (("hold", False), ("centre", True)),
                let_go: (("hold", False), ("centre", False)),
            }
        return {target: when for target, when in found.items() if target != place}

    def timed(self, place: str) -> Move | None:
        """What time brings in a place."""
        if place == "recovering":
            return Move(name="settle", to="guiding", after=self.settle)
        if place == "centring":
            return Move(name="reach_centre", to="centred", after=self.centre)
        return None


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The guide's positions, with the modes jammed, sensor_lost, sensor_drifts and hold_fails.

    Raises SequenceFileError if its travel does not cover the weave, or it has no way to go.
    """
    guide = _guide(device)
    wires = wires_of(device, centred="centred", limit="limit", edge="edge")
    facts = {fact for place in (*guide.places, "at_limit") for fact in _FACTS[place]}
    return Behaviour(
        device=device.name,
        positions=_all_positions(guide),
        initial="guiding",
        facts=tuple(sorted(facts)),
        drives=tuple(output_drive(device, role) for role in ("hold", "centre") if device.entry(role)),
        wires=wires if guide.can_centre else tuple(wire for wire in wires if wire.role != "centred"),
        failures=(
            Failure(name="jams", text="jams where it is", mode="jammed"),
            Failure(name="sensor_lost", text="its sensor sees no edge, and it runs off", mode="sensor_lost"),
            Failure(name="sensor_drifts", text="guides to a wrong place", mode="sensor_drifts"),
            Failure(name="hold_fails", text="does not hold", mode="hold_fails"),
            *contact_failures(wires),
        ),
    )


def _guide(device: Device) -> _Guide:
    travel_mm, rate_m_per_s = required(device, "travel", float), required(device, "rate", float)
    weave_mm = device.value("weave", float) or 0.0
    if weave_mm > travel_mm:
        raise file_error(
            device,
            "travel",
            expected=f"a travel not below the weave of {weave_mm:g} mm",
            found=f"{travel_mm:g} mm",
        )
    if travel_mm <= 0 or rate_m_per_s <= 0:
        raise file_error(device, "rate", expected="a travel and a rate above zero", found="0")
    if device.entry("centred") and not device.entry("centre"):
        raise file_error(
            device, "centre", expected="an output that centres, as there is a signal for it", found="none"
        )
    longest_us = round(travel_mm / 1000 / (rate_m_per_s * (1 - RATE_SPREAD)) * MICROSECONDS_PER_SECOND)
    return _Guide(
        settle=moving_time(device, "settle"),
        centre=TimeRange(0, longest_us),
        run_off=TimeRange(0, 2 * longest_us),
        can_centre=device.entry("centre") is not None,
    )


def _all_positions(guide: _Guide) -> tuple[Position, ...]:
    sound = tuple(replace(_position(guide, place), fails_as=_links(place)) for place in guide.places)
    jammed = tuple(
        replace(position, mode="jammed", moves=(), fails_as=(), facts=position.facts & _STANDS)
        for position in sound
    )
    lost = (*guide.places, "at_limit")
    return (
        *sound,
        *jammed,
        *_failed(guide, "sensor_drifts", guide.places, _unguided),
        *_failed(guide, "sensor_lost", lost, lambda part: _run_off(_unguided(part), guide)),
        *_failed(
            guide, "hold_fails", guide.places, lambda part: replace(part, facts=part.facts - {"is_held"})
        ),
    )


_STANDS = frozenset({"is_held", "is_centred"})


def _links(place: str) -> tuple[tuple[str, str], ...]:
    """A failed mode has positions of its own names, so that a hold only fails while something is held."""
    links = [(mode, f"{mode}_{place}") for mode in ("sensor_drifts", "sensor_lost")]
    if "held" in place or place == "centred":
        links.append(("hold_fails", f"hold_fails_{place}"))
    return tuple(links)


def _position(guide: _Guide, place: str) -> Position:
    timed = guide.timed(place)
    signals = {"edge"} | ({"centred"} if place in _IN_CENTRE else set())
    return Position(
        name=place,
        facts=_FACTS[place],
        signals=frozenset(signals),
        moves=(
            *((timed,) if timed else ()),
            *(Move(name=f"go_{to}", to=to, when=when) for to, when in guide.driven(place).items()),
        ),
        is_rest=timed is None,
    )


def _failed(
    guide: _Guide, mode: str, places: tuple[str, ...], changed: Callable[[Position], Position]
) -> tuple[Position, ...]:
    return tuple(_renamed(changed(_position(guide, place)), mode, place) for place in places)


def _renamed(position: Position, mode: str, place: str) -> Position:
    sound = "recovering" if place in ("guiding", "at_limit") else place
    return replace(
        position,
        name=f"{mode}_{place}",
        mode=mode,
        moves=tuple(replace(move, to=f"{mode}_{move.to}") for move in position.moves),
        repaired_as=sound,
    )


def _unguided(position: Position) -> Position:
    """Neither guiding nor holding what was guided; the centre is where it was."""
    return replace(position, facts=position.facts - {"is_guiding", "is_held"})


def _run_off(position: Position, guide: _Guide) -> Position:
    """Without an edge it runs to the end of its travel while nothing holds or centres it."""
    moves = tuple(move for move in position.moves if move.name != "settle")
    if position.name in ("guiding", "recovering"):
        moves = (Move(name="run_off", to="at_limit", after=guide.run_off), *moves)
    limit = frozenset({"limit"}) if position.name == "at_limit" else frozenset[str]()
    return replace(position, moves=moves, signals=(position.signals - {"edge"}) | limit)


WEB_GUIDE = DeviceType(
    name="web_guide",
    meaning="A web guide with an edge sensor, which can be held and centred",
    fields=_FIELDS,
    behaviour=_behaviour,
)
