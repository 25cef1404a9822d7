"""The difference between two sequences in what they do: orders of events, stays in steps, parts that were changed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.check.outcome import Witness
from seqcheck.check.witness import event_text, witness_of
from seqcheck.compare.canonical import behaviour_form
from seqcheck.compare.changed_parts import changed_parts
from seqcheck.compare.lockstep import in_lockstep
from seqcheck.compare.observed import Observed
from seqcheck.compare.order_search import OrderDifference, OrderLimits, OrderSearch, Side
from seqcheck.compare.part_change import PartChange, PartKind
from seqcheck.compare.parting import PartingRun, PartingSearch
from seqcheck.compare.stay_times import MOST_CLASSES, Stay, StayTimes
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.limits import Limits
from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import NetworkOptions
from seqcheck.kernel.settle import InstantLoopError
from seqcheck.language.sequence import Sequence

MOST_UNCONFIRMED = 5
"""Differences tried until the simulator confirms one; a read on demand may come where no periodic one can."""


class Sameness(Enum):
    """What a comparison came to."""

    SAME_FORM = "same behaviour: the files differ at most in layout, comments, texts or names of internal flags"
    SAME_ORDERS = "no difference in what can be seen, or in what order, without failures"
    DIFFERENT = "different behaviour"
    NOT_DECIDED = "no difference found as far as was searched"


@dataclass(frozen=True, slots=True, kw_only=True)
class OnlyOne:
    """Something that one sequence can do and the other cannot. `event` is the last one of `witness`; `instead` what the other can
    show at that point. `at_same_times`: it does so if everything before came at the same times; else it cannot in any times."""

    event: str
    witness: Witness
    instead: tuple[str, ...]
    at_same_times: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """What was found for one direction. `complete`: every run without failures was searched; else those with
    fewer than `acts_covered` acts.

    `failures_covered`: nothing was found with any one failure either, and every such run was searched.
    """

    found: OnlyOne | None
    complete: bool
    acts_covered: int = 0
    failures_covered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StayChange:
    """A stay that became shorter or longer. `run`: a run of the sequence with the longer stay that has it."""

    step: str
    old: Stay
    new: Stay
    run: Witness | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """The whole difference from an old to a new sequence. `not_measured`: steps whose stay could not be measured."""

    sameness: Sameness
    parts: tuple[PartChange, ...] = ()
    gained: Direction
    lost: Direction
    stays: tuple[StayChange, ...] = ()
    not_measured: tuple[str, ...] = ()


NOT_SEARCHED = Direction(found=None, complete=True)


def difference(old: Sequence, new: Sequence, limits: OrderLimits | None = None) -> Difference:
    """What `new` does otherwise than `old`, without failures.

    Raises SequenceFileError if a device lacks data that its type derives from the machine's numbers.
    """
    limits = limits or OrderLimits()
    parts = changed_parts(old, new)
    if behaviour_form(old) == behaviour_form(new):
        named = tuple(part for part in parts if part.kind in (PartKind.FLAG, PartKind.ALARM))
        return Difference(sameness=Sameness.SAME_FORM, parts=named, gained=NOT_SEARCHED, lost=NOT_SEARCHED)
    gained, lost = _direction(new, old, limits), _direction(old, new, limits)
    stays, not_measured = _stays(old, new, limits)
    return Difference(
        sameness=_sameness(gained, lost, stays),
        parts=parts,
        gained=gained,
        lost=lost,
        stays=stays,
        not_measured=not_measured,
    )


def _sameness(gained: Direction, lost: Direction, stays: tuple[StayChange, ...]) -> Sameness:
    if gained.found or lost.found or stays:
        return Sameness.DIFFERENT
    return Sameness.SAME_ORDERS if gained.complete and lost.complete else Sameness.NOT_DECIDED


def _direction(leader: Sequence, follower: Sequence, limits: OrderLimits) -> Direction:
    parted = _parted(leader, follower, limits) if _machine_form(leader) == _machine_form(follower) else None
    return parted or _ordered(leader, follower, limits)


def _machine_form(sequence: Sequence) -> tuple[object, ...]:
    return behaviour_form(sequence)[:4]


def _parted(leader: Sequence, follower: Sequence, limits: OrderLimits) -> Direction | None:
    """What the two do otherwise at one machine, first without failures, then with one; None: that does not tell."""
    within = Limits(seconds=limits.seconds)
    for failures in (0, 1):
        networks = build_core(leader, NetworkOptions()), build_core(follower, NetworkOptions())
        search = PartingSearch(*networks, within, failures)
        told = [_told_parting(search, leader, follower, run) for run in search.runs()]
        if told:
            found = next((part for part in told if part.witness.confirmed), told[0])
            return Direction(found=found, complete=bool(failures) or search.is_complete)
        if not failures and not search.is_complete:
            return None
    return Direction(found=None, complete=True, failures_covered=search.is_complete)


def _told_parting(search: PartingSearch, leader: Sequence, follower: Sequence, run: PartingRun) -> OnlyOne:
    options = NetworkOptions(at_read=False, choose=False)
    replayed = in_lockstep(build_core(leader, options), build_core(follower, options))
    assert search.network is not None and replayed is not None, "they were in lockstep before"
    witness, _ = witness_of(search.network, replayed, run.path)
    return OnlyOne(
        event=_seen_text(run.seen),
        witness=witness,
        instead=() if run.instead is None else (_seen_text(run.instead),),
        at_same_times=True,
    )


def _ordered(leader: Sequence, follower: Sequence, limits: OrderLimits) -> Direction:
    store = BoundsStore()
    options = NetworkOptions(at_read=False, choose=False)
    leading = Side(build_core(leader, options), store)
    search = OrderSearch(leading, Side(build_core(follower, options), store), limits)
    try:
        found = _first_confirmed(leading, search)
    except InstantLoopError:
        return Direction(found=None, complete=False)
    return Direction(found=found, complete=search.is_complete, acts_covered=search.acts_covered)


def _first_confirmed(leading: Side, search: OrderSearch) -> OnlyOne | None:
    """The first difference that the simulator confirms, or else the first of all."""
    tried: list[OnlyOne] = []
    for found in search.differences():
        tried.append(_told(leading, found))
        if tried[-1].witness.confirmed:
            return tried[-1]
        if len(tried) >= MOST_UNCONFIRMED:
            break
    return tried[0] if tried else None


def _told(leading: Side, found: OrderDifference) -> OnlyOne:
    witness, _ = witness_of(leading.network, leading.network, found.path)
    return OnlyOne(
        event=event_text(found.path.edges[-1]),
        witness=witness,
        instead=tuple(_seen_text(seen) for seen in found.instead),
    )


def _seen_text(seen: Observed) -> str:
    return f"{seen[0]}: {', '.join(seen[1:])}" if seen[0] in ("controller", "outputs") else " ".join(seen)


def _stays(old: Sequence, new: Sequence, limits: OrderLimits) -> tuple[tuple[StayChange, ...], tuple[str, ...]]:
    within = Limits(classes=MOST_CLASSES, seconds=limits.seconds)
    before, after = StayTimes(old, within), StayTimes(new, within)
    olds, news = before.stays(), after.stays()
    changes = tuple(
        _stay_change((before, after), olds[name], news[name])
        for name in news
        if name in olds and _times(olds[name]) != _times(news[name])
    )
    bounded = [f"{chart.name}.{step.name}" for chart in new.charts for step in chart.steps if step.watchdog is not None]
    return changes, tuple(name for name in bounded if name not in news)


def _times(stay: Stay) -> tuple[int, int]:
    return stay.shortest_us, stay.longest_us


def _stay_change(times: tuple[StayTimes, StayTimes], old: Stay, new: Stay) -> StayChange:
    longer = times[1] if new.longest_us >= old.longest_us else times[0]
    chart_name, step_name = new.step.split(".")
    chart = longer.sequence.chart(chart_name)
    step = next(step for step in chart.steps if step.name == step_name)
    told = longer.stay(chart, step, told=True)
    return StayChange(step=new.step, old=old, new=new, run=None if told is None else told.witness)
