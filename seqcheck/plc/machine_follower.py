"""Follows one device through a recording: the positions it may be in, and since when its motions are under way.

A motion whose end the recording shows may end at any time, so that a device that is too slow or too fast is measured and not
lost; an end outside its range is a deviation. Motions whose end shows nothing keep to their ranges. Only sound devices are
followed: what none of their positions explains is a deviation too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from seqcheck.kernel.machine import Machine, Place, TimedMove
from seqcheck.plc.held import LONG_AGO_US, NEVER_US
from seqcheck.plc.moment import Moment

Since = tuple[int, int, int]
"""Key of a timed move, and the earliest and latest time since which it is under way."""


class Keeping(Enum):
    """How a motion kept to its range."""

    INSIDE = "inside"
    SHORT = "too short"
    LONG = "too long"
    OVERDUE = "overdue"
    """It has not ended yet, and its latest time is over."""


class Took(NamedTuple):
    """A motion that ended (or is overdue): from which position, by which move, how long at least and at most, and since when."""

    source: int
    move: TimedMove
    least_us: int
    most_us: int
    since_us: int
    keeping: Keeping
    is_whole: bool
    """Whether the recording shows its beginning."""
    was_overdue: bool = False
    """Whether it had been told to be overdue before."""

    @property
    def identity(self) -> tuple[int, int, Keeping]:
        """All but times."""
        return self.source, self.move.pending.key, self.keeping


class Standing(NamedTuple):
    """Where a device may be: position, drives as it feels them, time of the last thing that happened, motions under way.

    `overdue`: keys of motions that are over their time already. `took`: what ended since the moment before.
    """

    position: int
    drive: int
    lo_us: int
    hi_us: int
    since: tuple[Since, ...]
    overdue: frozenset[int]
    took: tuple[Took, ...]
    cost: int
    changed: int = 0
    """Signals that have changed since the moment before."""

    @property
    def identity(self) -> object:
        """All but times and cost."""
        return self.position, self.drive, self.overdue, self.changed, tuple([part.identity for part in self.took])


class Drives(NamedTuple):
    """What may drive a device: before the moment, at the end of it, and in passing.

    `may_pulse`: signals may change and change back although the recording does not show it.
    """

    before: frozenset[int]
    after: frozenset[int]
    in_passing: frozenset[int] = frozenset()
    may_pulse: bool = False


@dataclass(slots=True)
class MachineFollower:
    """One device. Mutable; owned by one replay. `mask`: those of its signals that are recorded."""

    machine: Machine
    mask: int
    standing: tuple[Standing, ...] = ()
    signals: int = 0
    lately: frozenset[int] = frozenset()
    """Positions that it may have been in between the last two moments, before anything recorded changed."""

    def begin(self, drives: frozenset[int], moment: Moment) -> None:
        """Start anew: any sound position that shows these signals."""
        self.signals = moment.seen.inputs & self.mask
        since = LONG_AGO_US, moment.latest_us
        self.standing = tuple(
            Standing(number, drive, *since, self.under_way(number, drive, (), since), frozenset(), (), 0)
            for number, place in enumerate(self.machine.places)
            if not place.mode and place.signals & self.mask == self.signals
            for drive in sorted(drives)
            if not any(drive & move.mask == move.value for move in place.driven)
        )  # fmt: skip
        self.lately = self.positions()

    def positions(self) -> frozenset[int]:
        """Where it may be."""
        return frozenset(part.position for part in self.standing)

    def under_way(self, position: int, drive: int, before: tuple[Since, ...], now: tuple[int, int]) -> tuple[Since, ...]:
        """The motions under way in `position`: those of `before` that go on, others since `now`."""
        known = {key: since for key, *since in before}
        return tuple(
            (move.pending.key, *known.get(move.pending.key, now))
            for move in self.machine.places[position].timed
            if drive & move.mask == move.value
        )

    def take(self, moment: Moment, drives: Drives) -> bool:
        """Go on to `moment`; False if no sound position explains it (nothing is changed then)."""
        exploring = _Exploring(self, moment, drives)
        nodes = exploring.run()
        wanted = moment.seen.inputs & self.mask
        left = [
            self._overdue(node, moment)
            for node in nodes
            if self.shown(node.position) == wanted
            and node.drive in drives.after
            and not moment.touched & self.mask & ~node.changed
            and exploring.waits_until(node) >= moment.earliest_us
            and not any(node.drive & move.mask == move.value for move in self.machine.places[node.position].driven)
        ]
        if not left:
            return False
        least = min(node.cost for node in left)
        self.lately = frozenset(node.position for node in nodes if self.shown(node.position) == self.signals)
        self.standing = tuple(node for node in left if node.cost == least)
        self.signals = wanted
        return True

    def shown(self, position: int) -> int:
        """The recorded signals that are on in a position."""
        return self.machine.places[position].signals & self.mask

    def shows(self, place: Place, move: TimedMove) -> bool:
        """Whether the recording shows the end of a motion."""
        return (place.signals ^ self.machine.places[move.target].signals) & self.mask != 0

    def _overdue(self, node: Standing, moment: Moment) -> Standing:
        place = self.machine.places[node.position]
        for key, lo_us, hi_us in node.since:
            move = next(move for move in place.timed if move.pending.key == key)
            latest_us = move.pending.latest_us
            if key in node.overdue or latest_us is None or not self.shows(place, move):
                continue
            if lo_us > LONG_AGO_US and hi_us + latest_us < moment.earliest_us:
                took = Took(node.position, move, moment.earliest_us - hi_us, moment.latest_us - lo_us, hi_us, Keeping.OVERDUE, True)
                node = node._replace(overdue=node.overdue | {key}, took=(*node.took, took), cost=node.cost + 1)
        return node

    def agreed(self) -> tuple[Took, ...]:
        """What ended since the moment before, in every case that is left; forgotten afterwards."""
        found: tuple[Took, ...] = ()
        if self.standing and any(part.took for part in self.standing):
            kinds = {tuple(took.identity for took in part.took) for part in self.standing}
            if len(kinds) == 1:
                found = tuple(map(_hull, zip(*(part.took for part in self.standing), strict=True)))
        merged: dict[object, Standing] = {}
        for part in self.standing:
            bare = part._replace(took=(), cost=0, changed=0)
            other = merged.get(bare.identity)
            merged[bare.identity] = bare if other is None else joined(other, bare)
        self.standing = tuple(merged.values())
        return found


def _hull(parts: tuple[Took, ...]) -> Took:
    least = min(part.least_us for part in parts)
    return parts[0]._replace(least_us=least, most_us=max(part.most_us for part in parts))


def joined(first: Standing, second: Standing) -> Standing:
    """One that covers both, which differ in times; of two costs the lower stands for its own times alone."""
    if first.cost != second.cost:
        return min(first, second, key=lambda part: part.cost)
    other = {key: since for key, *since in second.since}
    return first._replace(
        lo_us=min(first.lo_us, second.lo_us),
        hi_us=max(first.hi_us, second.hi_us),
        since=tuple(
            (key, min(lo_us, other[key][0]), max(hi_us, other[key][1])) if key in other else (key, lo_us, hi_us)
            for key, lo_us, hi_us in first.since
        ),
        took=tuple(_hull(pair) for pair in zip(first.took, second.took, strict=True)),
    )


@dataclass(slots=True)
class _Exploring:
    """Everything that one device may do up to one moment. Owned by `take`."""

    follower: MachineFollower
    moment: Moment
    drives: Drives
    nodes: dict[object, Standing] = field(default_factory=dict)

    def run(self) -> list[Standing]:
        waiting = []
        for part in self.follower.standing:
            self.nodes[part.identity] = part
            waiting.append(part.identity)
        while waiting:
            for following in self._followers_of(self.nodes[waiting.pop()]):
                if len(following.took) <= MOST_ENDS and self._is_new(following):
                    waiting.append(following.identity)
        return list(self.nodes.values())

    def _is_new(self, following: Standing) -> bool:
        known = self.nodes.get(following.identity)
        both = following if known is None else joined(known, following)
        if both == known:
            return False
        self.nodes[following.identity] = both
        return True

    def waits_until(self, part: Standing) -> int:
        """Until when a device can stay as it is: a motion whose end shows nothing does not wait."""
        place = self.follower.machine.places[part.position]
        limit_us = NEVER_US
        moves = {move.pending.key: move for move in place.timed if part.drive & move.mask == move.value}
        for key, _, hi_us in part.since:
            move = moves[key]
            if move.pending.latest_us is not None and not self.follower.shows(place, move):
                limit_us = min(limit_us, hi_us + move.pending.latest_us)
        return limit_us

    def _followers_of(self, part: Standing) -> Iterator[Standing]:
        place = self.follower.machine.places[part.position]
        driven = next((move for move in place.driven if part.drive & move.mask == move.value), None)
        if driven is not None:
            yield from self._gone(part, driven.target, part.lo_us, part.hi_us)
            return
        limit_us = min(self.waits_until(part), self.moment.latest_us)
        yield from self._driven_otherwise(part, limit_us)
        for move in place.free:
            if part.drive & move.mask == move.value:
                yield from self._gone(part, move.target, part.lo_us, limit_us)
        for key, lo_us, hi_us in part.since:
            timed = next(item for item in place.timed if item.pending.key == key and part.drive & item.mask == item.value)
            yield from self._ended(part, timed, (lo_us, hi_us), limit_us)

    def _driven_otherwise(self, part: Standing, limit_us: int) -> Iterator[Standing]:
        early = self.drives.before if len(self.drives.before) > 1 else frozenset[int]()
        for drive in sorted((early | self.drives.after | self.drives.in_passing) - {part.drive}):
            lo_us = part.lo_us if drive in early else max(part.lo_us, self.moment.earliest_us)
            if lo_us <= limit_us:
                since = self.follower.under_way(part.position, drive, part.since, (lo_us, limit_us))
                overdue = part.overdue & {key for key, _, _ in since}
                yield part._replace(drive=drive, lo_us=lo_us, hi_us=limit_us, since=since, overdue=overdue)

    def _gone(self, part: Standing, target: int, lo_us: int, hi_us: int) -> Iterator[Standing]:
        """To another position between these times."""
        changed = self.follower.shown(target) ^ self.follower.shown(part.position)
        if changed:
            lo_us = max(lo_us, self.moment.earliest_us)
        if lo_us <= hi_us and (self.drives.may_pulse or not changed & ~self.moment.touched):
            since = self.follower.under_way(target, part.drive, part.since, (lo_us, hi_us))
            overdue = part.overdue & {key for key, _, _ in since}
            yield part._replace(
                position=target, lo_us=lo_us, hi_us=hi_us, since=since, overdue=overdue, changed=part.changed | changed
            )

    def _ended(self, part: Standing, move: TimedMove, since: tuple[int, int], limit_us: int) -> Iterator[Standing]:
        place = self.follower.machine.places[part.position]
        key, earliest_us, latest_us = move.pending
        first_us = max(part.lo_us, since[0] + earliest_us)
        last_us = limit_us if latest_us is None else min(limit_us, since[1] + latest_us)
        over = part._replace(since=tuple(item for item in part.since if item[0] != key), overdue=part.overdue - {key})
        if not self.follower.shows(place, move):
            yield from self._gone(over, move.target, first_us, last_us)
            return
        end_us = max(part.lo_us, self.moment.earliest_us), limit_us
        if end_us[0] > end_us[1]:
            return
        first_us = max(first_us, end_us[0])
        fits = first_us <= last_us and key not in part.overdue
        took = _took(part.position, move, since, end_us, fits=fits)._replace(was_overdue=key in part.overdue)
        over = over._replace(took=(*part.took, took), cost=part.cost + (not fits and key not in part.overdue))
        yield from self._gone(over, move.target, *((first_us, last_us) if fits else end_us))


def _took(position: int, move: TimedMove, since: tuple[int, int], end_us: tuple[int, int], *, fits: bool) -> Took:
    least_us, most_us = max(0, end_us[0] - since[1]), end_us[1] - since[0]
    is_short = most_us < move.pending.earliest_us
    keeping = Keeping.INSIDE if fits else Keeping.SHORT if is_short else Keeping.LONG
    return Took(position, move, least_us, most_us, since[1], keeping, since[0] > LONG_AGO_US)


MOST_ENDS = 3
"""Motions of one device that end in one moment of a recording; more is no motion but a rattle."""
