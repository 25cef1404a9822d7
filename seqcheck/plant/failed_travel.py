"""The failure modes that travels share: stopped where it is, slow, one way lost, drives without effect."""

from __future__ import annotations

from dataclasses import replace

from seqcheck.plant.behaviour import Position, in_mode
from seqcheck.plant.travel import RESUMED, Travel, Way

Links = dict[str, str]
"""From a position of one mode to the position of another that a failure or repair leads to."""


def linked(positions: tuple[Position, ...], modes: dict[str, Links]) -> tuple[Position, ...]:
    """Healthy `positions` with the positions that each failed mode in `modes` leads them to."""
    return tuple(
        replace(position, fails_as=_links_from(position.name, modes)) if position.mode == "" else position
        for position in positions
    )


def _links_from(name: str, modes: dict[str, Links]) -> tuple[tuple[str, str], ...]:
    return tuple((mode, links[name]) for mode, links in modes.items() if name in links)


def stopped_links(ways: tuple[Way, ...]) -> Links:
    """In the stopped mode of `ways` there is one position a stage, whatever the remaining time was."""
    return {RESUMED + stage: stage for way in ways for stage in way.stages}


def stopped_mode(
    mode: str, healthy: tuple[Position, ...], ways: tuple[Way, ...], *, lost: frozenset[str]
) -> tuple[Position, ...]:
    """Nothing moves any more: `healthy` positions without moves and without the facts in `lost`.

    After repair a motion goes on from an unknown place.
    """
    stages = {stage for way in ways for stage in way.stages}
    return tuple(
        replace(
            position,
            facts=position.facts - lost,
            repaired_as=RESUMED + position.name if position.name in stages else None,
        )
        for position in in_mode(mode, healthy, keep=frozenset())
        if not position.name.startswith(RESUMED)
    )


def undriven_mode(mode: str, healthy: tuple[Position, ...], ways: tuple[Way, ...]) -> tuple[Position, ...]:
    """The drives have no effect: what is under way arrives, nothing begins or turns round."""
    return in_mode(mode, healthy, keep=frozenset(name for way in ways for name in way.timed))


def slow_mode(mode: str, slow: Travel, slowed: tuple[Way, ...], prefix: str) -> tuple[Position, ...]:
    """The positions of the `slow` travel. A slow way ends, after repair, from an unknown place."""
    unknown = {stage for way in slowed for stage in way.stages}
    return tuple(
        replace(position, repaired_as=_sound_name(position.name, prefix, unknown))
        for position in slow.positions(mode, prefix)
    )


def _sound_name(name: str, prefix: str, unknown: set[str]) -> str | None:
    stage = name.removeprefix(prefix)
    return RESUMED + stage if stage != name or stage in unknown else None


def slow_links(slow: Travel, slowed: tuple[Way, ...], prefix: str) -> Links:
    """A motion under way when it becomes slow has anything up to the slow time left."""
    under_way = {stage: prefix + stage for way in slowed for stage in way.stages}
    unknown = {RESUMED + stage: prefix + stage for way in slow.ways for stage in way.stages}
    return under_way | unknown


def lost_way_mode(
    mode: str,
    healthy: tuple[Position, ...],
    lost: Way,
    kept: Way,
    *,
    lost_facts: frozenset[str],
    also: frozenset[str] = frozenset(),
) -> tuple[Position, ...]:
    """The way `lost` is never begun and never ends; the way `kept` is as ever, and so are the moves named in `also`.

    A device that is on the lost way stays on it, without `lost_facts`, until it is driven the other way.
    """
    return tuple(
        _without_way(position, lost, kept, lost_facts)
        for position in in_mode(mode, healthy, keep=frozenset({kept.driven, *kept.timed}) | also)
        if not _is_resumed(position.name, lost)
    )


def _is_resumed(name: str, way: Way) -> bool:
    return name.removeprefix(RESUMED) in way.stages and name.startswith(RESUMED)


def _without_way(position: Position, lost: Way, kept: Way, lost_facts: frozenset[str]) -> Position:
    if position.name not in lost.stages:
        return position
    driven = tuple(move for move in position.moves if move.name == kept.driven)
    return replace(
        position,
        facts=position.facts - lost_facts,
        moves=driven,
        repaired_as=RESUMED + position.name,
    )


def lost_way_links(lost: Way) -> Links:
    """In the mode of the lost way there is one position a stage of it."""
    return stopped_links((lost,))
