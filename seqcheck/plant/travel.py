"""Something that goes between two ends and can be turned round on the way: piston, valve, ramp, vacuum.

The picture, for a cylinder with a switch at each end::

    home -> leaving_home -> going_out -> arriving_out -> out
            home switch on   both off    out switch on

The way back is the same mirrored. What is turned round on the way, or is let go again after a repair, is at
an unknown place: it goes on in a *resumed* position of the same stage, whose remaining time is anything up to
the whole.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.plant.behaviour import Move, Position
from seqcheck.plant.device_entry import latest_us, up_to
from seqcheck.quantities.time import TimeRange

Condition = tuple[tuple[str, bool], ...]

RESUMED = "resumed_"
"""Prefix of healthy positions whose remaining time is unknown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One end. `facts` and `signals` hold there; the signals also in `band` before and after it, if any."""

    name: str
    facts: frozenset[str]
    signals: frozenset[str] = frozenset()
    band: TimeRange | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way from `start` to `end`, taken while `when` holds; `going` names the position between the bands.

    `within`: from the drive until the switch at `end` makes. `facts` hold all the way.
    """

    start: End
    end: End
    going: str
    when: Condition
    within: TimeRange
    facts: frozenset[str]

    @property
    def leaving(self) -> str | None:
        """The position in which the switch at the start is still on; None without a band there."""
        return f"leaving_{self.start.name}" if self.start.band else None

    @property
    def arriving(self) -> str | None:
        """The position in which the switch at the end is on already; None without a band there."""
        return f"arriving_{self.end.name}" if self.end.band else None

    @property
    def stages(self) -> tuple[str, ...]:
        """The positions under way; none where everything happens at once."""
        if self.within.latest_us == 0 and not self.leaving and not self.arriving:
            return ()
        return tuple(stage for stage in (self.leaving, self.going, self.arriving) if stage)

    @property
    def first(self) -> str:
        """The position right after the drive."""
        return (*self.stages, self.end.name)[0]

    @property
    def driven(self) -> str:
        """Name of the move that begins this way, from the start or from the other way."""
        return f"go_{self.end.name}"

    @property
    def timed(self) -> tuple[str, ...]:
        """Names of the moves that time brings on this way."""
        return (f"clear_{self.start.name}", f"reach_{self.end.name}", f"settle_{self.end.name}")


@dataclass(frozen=True, slots=True)
class Travel:
    """Two opposite ways between the same two ends."""

    forth: Way
    back: Way

    @property
    def ways(self) -> tuple[Way, Way]:
        """Both ways."""
        return (self.forth, self.back)

    def positions(self, mode: str = "", prefix: str = RESUMED) -> tuple[Position, ...]:
        """All positions of one mode; those whose remaining time is unknown have `prefix`."""
        pairs = ((self.forth, self.back), (self.back, self.forth))
        ends = [_end(way, mode) for way in self.ways]
        fresh = [_stage(name, pair, mode, "", prefix) for pair in pairs for name in pair[0].stages]
        resumed = [_stage(name, pair, mode, prefix, prefix) for pair in pairs for name in pair[0].stages]
        return (*ends, *fresh, *resumed)


def travel_between(start: End, end: End, *, forth: Way, back: Way) -> Travel:
    """The travel between two ends; asserts that the ways are opposite."""
    assert (forth.start, forth.end, back.start, back.end) == (start, end, end, start)
    return Travel(forth, back)


def _end(way: Way, mode: str) -> Position:
    """The position at the start of `way`."""
    return Position(
        name=way.start.name,
        mode=mode,
        facts=way.start.facts,
        signals=way.start.signals,
        moves=(Move(name=way.driven, to=way.first, when=way.when),),
        is_rest=True,
    )


def _stage(name: str, pair: tuple[Way, Way], mode: str, own_prefix: str, prefix: str) -> Position:
    """A position under way on the first of `pair`; the drive of the second turns it round."""
    way, opposite = pair
    turned = Move(name=opposite.driven, to=_turned(name, way, opposite, prefix), when=opposite.when)
    return Position(
        name=own_prefix + name,
        mode=mode,
        facts=way.facts,
        signals=_signals(name, way),
        moves=(*timed_moves(name, way, own_prefix), turned),
    )


def _signals(stage: str, way: Way) -> frozenset[str]:
    ends = {way.leaving: way.start, way.arriving: way.end}
    return ends[stage].signals if stage in ends else frozenset()


def _turned(stage: str, way: Way, opposite: Way, prefix: str) -> str:
    """Where the opposite way goes on from `stage`: at the same switch, in the other direction."""
    if not opposite.stages:
        return opposite.end.name
    mirrored = {way.leaving: opposite.arriving, way.going: opposite.going, way.arriving: opposite.leaving}
    return f"{prefix}{mirrored[stage]}"


def timed_moves(stage: str, way: Way, own_prefix: str) -> tuple[Move, ...]:
    """What time brings in a stage of `way`; with a prefix, from an unknown place."""
    clear, reach, settle = way.timed
    within = up_to(way.within) if own_prefix else way.within
    if stage == way.arriving:
        settled = _in_band(way.end, way, own_prefix)
        return (Move(name=settle, to=way.end.name, after=settled),)
    arrived = Move(name=reach, to=way.arriving or way.end.name, after=within)
    if stage == way.leaving:
        cleared = _in_band(way.start, way, own_prefix)
        return (Move(name=clear, to=own_prefix + way.going, after=cleared), arrived)
    return (arrived,)


def _in_band(end: End, way: Way, own_prefix: str) -> TimeRange:
    """The remaining time in the band at `end`; from an unknown place it may take as long as the whole way."""
    assert end.band is not None
    if not own_prefix:
        return end.band
    return TimeRange(0, max(latest_us(end.band), latest_us(way.within)))
