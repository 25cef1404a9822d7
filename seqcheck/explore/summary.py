"""What layers found out for each monitor, small enough to hand from one process to another, and merged over layers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.explore.limits import StopReason
from seqcheck.explore.record import Record
from seqcheck.kernel.draw_part import DrawPart

Chain = tuple[tuple[int, ...], ...]
"""The layers one passes to get somewhere: the failures that each adds. Empty: no failure."""

Cost = tuple[int, int, int]
"""Failures, operator acts, events."""


@dataclass(frozen=True, slots=True)
class Found:
    """A value or violation and where it was found: in which layer, and after how much."""

    chain: Chain
    cost: Cost
    kind: str = ""
    value_us: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MonitorSummary:
    """All that is known of one monitor over the layers looked at. `draws` are by kind of draw.

    `started_in_layer_0` and `parts_in_layer_0` decide vacuity: without any failure.
    """

    started: Found | None = None
    started_in_layer_0: bool = False
    parts_in_layer_0: frozenset[int] = frozenset()
    bad: Found | None = None
    worst: Found | None = None
    best: Found | None = None
    over: Found | None = None
    draws: tuple[tuple[DrawPart, Found], ...] = ()

    def merged(self, other: MonitorSummary) -> MonitorSummary:
        """Both together: least cost, greatest worst, least best. Order does not matter."""
        draws = dict(self.draws)
        for part, found in other.draws:
            draws[part] = _greater(draws.get(part), found) or found
        return MonitorSummary(
            started=_cheaper(self.started, other.started),
            started_in_layer_0=self.started_in_layer_0 or other.started_in_layer_0,
            parts_in_layer_0=self.parts_in_layer_0 | other.parts_in_layer_0,
            bad=_cheaper(self.bad, other.bad),
            worst=_greater(self.worst, other.worst),
            best=_lesser(self.best, other.best),
            over=_cheaper(self.over, other.over),
            draws=tuple(sorted(draws.items())),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Exploration:
    """What a set of layers came to. `layers` counts them; `stop` is the first reason that is not FINISHED."""

    summaries: tuple[MonitorSummary, ...]
    classes: int = 0
    states: int = 0
    transitions: int = 0
    layers: int = 0
    stop: StopReason = StopReason.FINISHED
    instant_loop: tuple[str, ...] = ()
    time_loop: tuple[str, ...] = ()

    def merged(self, other: Exploration) -> Exploration:
        """Both together."""
        pairs = zip(self.summaries, other.summaries, strict=True)
        return Exploration(
            summaries=tuple(first.merged(second) for first, second in pairs),
            classes=self.classes + other.classes,
            states=self.states + other.states,
            transitions=self.transitions + other.transitions,
            layers=self.layers + other.layers,
            stop=other.stop if self.stop is StopReason.FINISHED else self.stop,
            instant_loop=self.instant_loop or other.instant_loop,
            time_loop=self.time_loop or other.time_loop,
        )

    def stopped(self, reason: StopReason) -> Exploration:
        """The same, cut short."""
        return replace(self, stop=reason if self.stop is StopReason.FINISHED else self.stop)


def summary_of(record: Record, chain: Chain) -> MonitorSummary:
    """The summary of one record of one layer."""
    in_layer_0 = not chain
    return MonitorSummary(
        started=_found(record.started_cost, chain),
        started_in_layer_0=in_layer_0 and record.started is not None,
        parts_in_layer_0=frozenset(record.parts) if in_layer_0 else frozenset(),
        bad=_found(record.bad_cost, chain, record.bad_kind, record.bad_value_us),
        worst=_found(record.worst_cost, chain, value_us=record.worst_us),
        best=_found(record.best_cost, chain, value_us=record.best_us),
        over=_found(record.over_cost, chain),
        draws=tuple(
            (part, Found(chain, (_count(chain), *cost), "drawn", value))
            for part, (value, _, cost) in sorted(record.draws.items())
        ),
    )


def _found(
    cost: tuple[int, int] | None,
    chain: Chain,
    kind: str = "",
    value_us: int | None = None,
) -> Found | None:
    if cost is None:
        return None
    return Found(chain, (_count(chain), *cost), kind, value_us)


def _count(chain: Chain) -> int:
    return sum(len(failures) for failures in chain)


def _cheaper(first: Found | None, second: Found | None) -> Found | None:
    if first is None or second is None:
        return first or second
    return min(first, second, key=lambda found: (found.cost, found.chain))


def _greater(first: Found | None, second: Found | None) -> Found | None:
    if first is None or second is None:
        return first or second
    return min(first, second, key=lambda found: (-(found.value_us or 0), found.cost, found.chain))


def _lesser(first: Found | None, second: Found | None) -> Found | None:
    if first is None or second is None:
        return first or second
    return min(first, second, key=lambda found: (found.value_us or 0, found.cost, found.chain))
