"""A rotary knife: each rise of its output is one turn, home to home; the output must fall before another."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.language.field import Field, FieldKind, Signal
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import latest_us, moving_time, output_drive, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

_RESUMED = "resumed_"
_ON, _OFF = (("output", True),), (("output", False),)

_FIELDS = (
    Field(
        name="turn",
        kind=FieldKind.TIME_RANGE,
        meaning="from the command to the home switch making again, one turn later",
        required=True,
    ),
    Field(name="output", kind=FieldKind.OUTPUT, meaning="output whose rise starts one turn", required=True),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that a start needs"),
    Field(name="home", kind=FieldKind.SIGNAL, meaning="input that is on when the knife is home"),
    Field(
        name="band",
        kind=FieldKind.TIME_RANGE,
        meaning="how long the home switch stays on after leaving, and how long before home it comes on",
    ),
)


@dataclass(frozen=True, slots=True)
class _Turn:
    """One turn: its time, and the band of the home switch (None without one)."""

    within: TimeRange
    band: TimeRange | None

    @property
    def stages(self) -> tuple[str, ...]:
        """The positions of a turn."""
        return ("leaving_home", "turning", "arriving_home") if self.band else ("turning",)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The knife's positions, with the modes jammed and overrunning.

    A turn once begun ends by itself, whatever becomes of output and energy.
    """
    turn = _turn(device)
    wires = wires_of(device, home="home")
    return Behaviour(
        device=device.name,
        positions=(*_healthy(turn), *_jammed(turn), *_overrunning(turn)),
        initial="home",
        facts=("is_home", "is_moving"),
        drives=(output_drive(device, "output"),),
        wires=wires,
        failures=(
            Failure(name="jams", text="jams where it is", mode="jammed"),
            Failure(name="overruns", text="turns on at home while its output is on", mode="overrunning"),
            *contact_failures(wires),
        ),
        moving_facts=("is_moving",),
    )


def _turn(device: Device) -> _Turn:
    band = device.value("band", TimeRange)
    seen = device.value("home", Signal) is not None and band is not None and latest_us(band) > 0
    return _Turn(moving_time(device, "turn"), band if seen else None)


def _healthy(turn: _Turn) -> tuple[Position, ...]:
    """At home, waiting at home for the output to fall, and under way."""
    start = Move(name="start", to=turn.stages[0], when=_ON)
    rearm = Move(name="rearm", to="home", when=_OFF)
    home = _at_home("home", start)
    waiting = replace(_at_home("home_waiting", rearm), fails_as=(("overrunning", "home"),))
    return (home, waiting, *_under_way(turn, "", "home_waiting"), *_resumed(turn))


def _at_home(name: str, move: Move) -> Position:
    home = frozenset({"home"})
    return Position(name=name, facts=frozenset({"is_home"}), signals=home, moves=(move,), is_rest=True)


def _resumed(turn: _Turn) -> tuple[Position, ...]:
    """A turn that goes on after a jam, from an unknown place."""
    return tuple(
        replace(position, fails_as=(("jammed", position.name.removeprefix(_RESUMED)),))
        for position in _under_way(turn, _RESUMED, "home_waiting")
    )


def _under_way(turn: _Turn, prefix: str, home: str) -> tuple[Position, ...]:
    """The positions of a turn that ends in `home`; with a prefix the remaining time is unknown."""
    return tuple(
        Position(
            name=prefix + stage,
            facts=frozenset({"is_moving"}),
            signals=frozenset() if stage == "turning" else frozenset({"home"}),
            moves=_timed_moves(turn, stage, prefix, home),
        )
        for stage in turn.stages
    )


def _timed_moves(turn: _Turn, stage: str, prefix: str, home: str) -> tuple[Move, ...]:
    within = up_to(turn.within) if prefix else turn.within
    band = within if prefix else turn.band
    if stage == "arriving_home":
        return (Move(name="settle_home", to=home, after=band),)
    reach = Move(name="reach_home", to="arriving_home" if turn.band else home, after=within)
    if stage == "leaving_home":
        return (Move(name="clear_home", to=prefix + "turning", after=band), reach)
    return (reach,)


def _jammed(turn: _Turn) -> tuple[Position, ...]:
    """Nothing moves any more; after repair a turn under way goes on."""
    at_home = [replace(position, mode="jammed", moves=(), fails_as=()) for position in _healthy(turn)[:2]]
    stopped = [
        replace(position, mode="jammed", facts=frozenset(), moves=(), repaired_as=_RESUMED + position.name)
        for position in _under_way(turn, "", "home")
    ]
    return (*at_home, *stopped)


def _overrunning(turn: _Turn) -> tuple[Position, ...]:
    """A turn ends in `home`, where the output, still on, starts the next: nothing waits for it to fall."""
    start = Move(name="start", to=turn.stages[0], when=_ON)
    fresh, resumed = _under_way(turn, "", "home"), _under_way(turn, _RESUMED, "home")
    return tuple(
        replace(position, mode="overrunning") for position in (_at_home("home", start), *fresh, *resumed)
    )


ROTARY_KNIFE = DeviceType(
    name="rotary_knife",
    meaning="A rotary knife that makes one turn at each rise of its output",
    fields=_FIELDS,
    behaviour=_behaviour,
)
