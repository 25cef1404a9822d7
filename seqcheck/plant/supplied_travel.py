"""A piston whose air may be lost, whose valve may rest in its centre, or which something else may hold.

The picture: a *spot* is where the piston is, where the spool is, and what acts on it. While it is driven it goes the ways of
a Travel; held or shut in, it stands where it is; without air it falls back::

    driven  <->  standing          drops: falls to one end within `fall`
      |             |              drifts: may creep anywhere, at any time or never
      +--> loose <--+              holds: stands

What goes on from a place on the way has anything up to its latest time left, as in travel.py. What a double solenoid was
last told is kept through all of it: when air returns, the piston goes on without a new command (ISO 14118, unexpected start-up).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple

from seqcheck.plant.behaviour import Move, Position
from seqcheck.plant.spool import CENTRE, CLOSED_CENTRE, FED, HELD, HOME, OUT, Case, Spool
from seqcheck.plant.travel import RESUMED, Travel, Way, timed_moves
from seqcheck.quantities.time import TimeRange

HOLDS, DRIFTS, DROPS_HOME, DROPS_OUT = "holds", "drifts", "drops home", "drops out"
FALL_BACKS = (HOLDS, DRIFTS, DROPS_HOME, DROPS_OUT)

DRIVEN, STANDS, FREED = "driven", "stands", "freed"
"""What a piston does: it is driven to an end, it stands, or it is without force."""

NEAR_HOME, BETWEEN, NEAR_OUT = "near_home", "between", "near_out"

ANY_TIME = TimeRange(0, None)
_STORED = "is_stored"


class Spot(NamedTuple):
    """Where the piston is, where the spool is, and what it does. `is_whole`: its way began at the other end."""

    place: str
    spool: str
    does: str
    is_whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplied:
    """A travel with its spool and fall-back; `fall` is the range of a whole fall, `prefix` that of unknown remaining times."""

    travel: Travel
    spool: Spool
    fall_back: str
    fall: TimeRange
    moving: frozenset[str]
    prefix: str = RESUMED

    @property
    def start(self) -> Spot:
        """Home, driven home."""
        return Spot(HOME, HOME, DRIVEN)

    @property
    def falls_to(self) -> str | None:
        """The end to which it falls."""
        return {DROPS_HOME: HOME, DROPS_OUT: OUT}.get(self.fall_back)

    def way(self, spot: Spot) -> Way:
        """The way that the piston is on."""
        forth, back = self.travel.ways
        if spot.does == DRIVEN:
            return forth if spot.spool == OUT else back
        way = forth if self.falls_to == OUT else back
        return replace(way, going="falling", within=self.fall, when=())

    def does(self, spool: str, feed: str) -> str:
        """What the piston does with the spool there."""
        if feed == HELD or (feed == FED and spool == CENTRE and self.spool.kind == CLOSED_CENTRE):
            return STANDS
        if feed == FED and spool != CENTRE:
            return DRIVEN
        return STANDS if self.fall_back == HOLDS else FREED

    def after(self, spot: Spot, case: Case) -> Spot:
        """Where `case` leads to from a spot; the same spot if nothing changes."""
        spool = case.spool or spot.spool
        does = self.does(spool, case.feed)
        if does == spot.does and (does != DRIVEN or spool == spot.spool):
            return spot._replace(spool=spool)
        return self.begun(spot.place, spool, does)

    def begun(self, place: str, spool: str, does: str) -> Spot:
        """The first spot of what it does from a place on."""
        aim = spool if does == DRIVEN else self.falls_to if does == FREED else None
        if aim is None or place == aim:
            return Spot(place, spool, does)
        started = Spot(place, spool, does, is_whole=place in (HOME, OUT))
        return self._at_stage(started, self.way(started).first) if started.is_whole else started

    def _at_stage(self, spot: Spot, stage: str) -> Spot:
        return spot._replace(place=_place_of(self.way(spot), stage))

    def passing(self, spot: Spot) -> Iterable[tuple[Move, Spot]]:
        """What time brings, with the spot that each leads to."""
        if spot.does == FREED and self.fall_back == DRIFTS:
            return [
                (Move(name=f"drift_to_{place}", to="", after=ANY_TIME), spot._replace(place=place))
                for place in self._neighbours(spot.place)
            ]
        if not self.is_on_the_way(spot):
            return []
        way = self.way(spot)
        own = "" if spot.is_whole else self.prefix
        found = timed_moves(_stage_of(way, spot.place), way, own)
        return [(self._named(move, spot), self._reached(move.to, way, spot)) for move in found]

    def _named(self, move: Move, spot: Spot) -> Move:
        return move if spot.does == DRIVEN else replace(move, name=f"fall_{move.name}")

    def _reached(self, name: str, way: Way, spot: Spot) -> Spot:
        if name == way.end.name:
            return spot._replace(place=name, is_whole=False)
        return spot._replace(
            place=_place_of(way, name.removeprefix(self.prefix)),
            is_whole=not name.startswith(self.prefix),
        )

    def is_on_the_way(self, spot: Spot) -> bool:
        """Whether it is driven or falls, and has not arrived."""
        if spot.does == DRIVEN:
            return spot.place != spot.spool
        return spot.does == FREED and self.falls_to not in (None, spot.place)

    def _neighbours(self, place: str) -> tuple[str, ...]:
        places = self._places()
        number = places.index(place)
        return (*places[max(number - 1, 0) : number], *places[number + 1 : number + 2])

    def _places(self) -> tuple[str, ...]:
        forth = self.travel.forth
        near = [stage for stage in (forth.leaving, forth.going, forth.arriving) if stage]
        return (HOME, *(_place_of(forth, stage) for stage in near), OUT)

    # -- as positions --------------------------------------------------------------------------------------------

    def name(self, spot: Spot) -> str:
        """The name of a spot's position: as in a plain travel while it is driven."""
        if spot.does == DRIVEN:
            return self._prefixed(spot, _stage_of(self.way(spot), spot.place))
        if self.is_on_the_way(spot):
            return self._prefixed(spot, f"{_stage_of(self.way(spot), spot.place)}_freely_valve_{spot.spool}")
        return f"{spot.does}_{spot.place}_valve_{spot.spool}"

    def _prefixed(self, spot: Spot, stage: str) -> str:
        return stage if spot.is_whole or not self.is_on_the_way(spot) else self.prefix + stage

    def position(self, spot: Spot, cases: tuple[Case, ...], mode: str) -> Position:
        """A spot as a position of `mode` in which `cases` say what may happen."""
        passing = list(self.passing(spot))
        driven = [(case, self.after(spot, case)) for case in cases]
        return Position(
            name=self.name(spot),
            mode=mode,
            facts=self._facts(spot),
            signals=self._signals(spot.place),
            moves=(
                *(replace(move, to=self.name(target)) for move, target in passing),
                *(
                    Move(name=self._label(target), to=self.name(target), when=case.when)
                    for case, target in driven
                    if target != spot
                ),
            ),
            is_rest=all(move.after is not None and move.after.latest_us is None for move, _ in passing),
        )

    def _label(self, target: Spot) -> str:
        return (
            f"go_{target.spool}" if target.does == DRIVEN else {STANDS: "stop", FREED: "let_go"}[target.does]
        )

    def _facts(self, spot: Spot) -> frozenset[str]:
        forth, back = self.travel.ways
        if spot.place in (HOME, OUT):
            own = (forth if spot.place == HOME else back).start.facts
        else:
            stands = frozenset({"is_moving"}) if spot.does == STANDS else frozenset[str]()
            own = self.moving - stands
        is_stored = self.falls_to not in (None, spot.place)
        return own | {_STORED} if is_stored else own

    def _signals(self, place: str) -> frozenset[str]:
        forth, back = self.travel.ways
        near = {HOME: forth.start, NEAR_HOME: forth.start, OUT: back.start, NEAR_OUT: back.start}
        return near[place].signals if place in near else frozenset()

    def reachable(self, seeds: Iterable[Spot], cases: tuple[Case, ...]) -> tuple[Spot, ...]:
        """The spots from `seeds` on, in the order of being found."""
        found: dict[Spot, None] = {}
        waiting = list(seeds)
        while waiting:
            spot = waiting.pop(0)
            if spot not in found:
                found[spot] = None
                waiting += [target for _, target in self.passing(spot)]
                waiting += [self.after(spot, case) for case in cases]
        return tuple(found)


def _place_of(way: Way, stage: str) -> str:
    """Where the piston is in a stage of `way`."""
    near = {HOME: NEAR_HOME, OUT: NEAR_OUT}
    return {way.leaving: near[way.start.name], way.arriving: near[way.end.name]}.get(stage, BETWEEN)


def _stage_of(way: Way, place: str) -> str:
    """The stage of `way` in which the piston is at a place; an end is its own."""
    if place in (HOME, OUT):
        return place
    stages = {stage: _place_of(way, stage) for stage in way.stages}
    return next(stage for stage, there in stages.items() if there == place)


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedSupply:
    """A failed mode: its name, the supplied travel and cases in it, and how spots fail into it and are repaired."""

    mode: str
    supplied: Supplied
    cases: tuple[Case, ...]
    fails: Callable[[Spot], Spot]
    is_jammed: bool = False

    def position(self, spot: Spot) -> Position:
        """A spot of this mode as a position; a jammed piston stands with the facts and signals it had."""
        position = self.supplied.position(spot, self.cases, self.mode)
        if not self.is_jammed:
            return position
        return replace(position, facts=position.facts - {"is_moving"}, moves=())

    def spots(self, healthy: Iterable[Spot]) -> tuple[Spot, ...]:
        """The spots of this mode."""
        failed = dict.fromkeys(self.fails(spot) for spot in healthy)
        return tuple(failed) if self.is_jammed else self.supplied.reachable(failed, self.cases)


def repaired(supplied: Supplied, spot: Spot) -> Spot:
    """Where a failed piston goes on from: what was under way, from an unknown place."""
    known = {supplied.does(spot.spool, feed) for feed in _feeds(supplied)}
    if spot.does in known:
        return spot._replace(is_whole=False)
    return supplied.begun(spot.place, spot.spool, supplied.does(spot.spool, FED))


def _feeds(supplied: Supplied) -> set[str]:
    return {case.feed for case in supplied.spool.cases()}


def supplied_positions(supplied: Supplied, modes: tuple[FailedSupply, ...]) -> tuple[Position, ...]:
    """All positions: healthy ones, with their links into each failed mode, and those of the modes."""
    cases = supplied.spool.cases()
    healthy = supplied.reachable([supplied.start], cases)
    while True:
        seeds = [repaired(supplied, spot) for mode in modes for spot in mode.spots(healthy)]
        grown = supplied.reachable([*healthy, *seeds], cases)
        if grown == healthy:
            break
        healthy = grown
    sound = tuple(
        replace(supplied.position(spot, cases, ""), fails_as=_links(supplied, spot, modes))
        for spot in healthy
    )
    failed = (_failed_position(supplied, mode, spot) for mode in modes for spot in mode.spots(healthy))
    return (*sound, *failed)


def _links(supplied: Supplied, spot: Spot, modes: tuple[FailedSupply, ...]) -> tuple[tuple[str, str], ...]:
    named = ((mode.mode, mode.supplied.name(mode.fails(spot))) for mode in modes)
    own = supplied.name(spot)
    return tuple((mode, name) for mode, name in named if name != own)


def _failed_position(supplied: Supplied, mode: FailedSupply, spot: Spot) -> Position:
    position = mode.position(spot)
    sound = supplied.name(repaired(supplied, spot))
    return replace(position, repaired_as=None if sound == position.name else sound)
