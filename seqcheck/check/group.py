"""Requirements that one exploration can serve.

All that look only at states share one for each hypothesis and `given`, since they add nothing to the state. Requirements
that measure short times (drops, reactions) share one too: their ages seldom run at once. One that measures a long time, counts
order or follows a draw gets an exploration of its own, so that it does not multiply with others.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.check.slice import sliced
from seqcheck.explore.limits import Limits
from seqcheck.kernel.build import build_core, options_for, watching
from seqcheck.kernel.network import Network, NetworkOptions, Procedure
from seqcheck.kernel.observer import Monitor, ReadMonitor, StateMonitor, StopwatchMonitor
from seqcheck.language.sequence import Given, Hypothesis, Requirement, Sequence
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.recovery import acts_of, begins_when

INSTANT_US = 50_000
"""Ages up to a few scans run so briefly that they may join those that look only at states."""
SHORT_US = 500_000
"""Ages up to half a second share an exploration; longer ones would run beside one another most of the time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Watching:
    """Monitor `number` of the requirement with this id."""

    requirement: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """One exploration: under which failures, with which acts, from where, and which monitors watch."""

    index: int
    hypothesis: Hypothesis
    given: Given
    start_anywhere: bool
    timed_from_fault: bool
    procedure: Procedure | None
    watching: tuple[Watching, ...]


GroupKey = tuple[Hypothesis, Given, bool, bool, Procedure | None]


def groups_of(sequence: Sequence, requirements: tuple[Requirement, ...], faults: int | None) -> tuple[Group, ...]:
    """The explorations that serve `requirements`; `faults` replaces the number of failures each one states."""
    shared: dict[tuple[GroupKey, str], list[Watching]] = {}
    for requirement in requirements:
        key = _key(requirement, sequence, faults)
        for number, monitor in enumerate(monitors_of(requirement, sequence)):
            place = shared.setdefault((key, _company(requirement, monitor)), [])
            place.append(Watching(requirement=requirement.id, number=number))
    return tuple(_group(index, key, found) for index, ((key, _), found) in enumerate(shared.items()))


def _company(requirement: Requirement, monitor: Monitor) -> str:
    """Monitors with the same word share an exploration."""
    if isinstance(monitor, StateMonitor | ReadMonitor):
        return "states"
    if isinstance(monitor, StopwatchMonitor) and monitor.length_us <= INSTANT_US:
        return "states"
    is_short = isinstance(monitor, StopwatchMonitor) and monitor.length_us <= SHORT_US
    return "short times" if is_short or requirement.kind == "detection" else requirement.id


def _key(requirement: Requirement, sequence: Sequence, faults: int | None) -> GroupKey:
    hypothesis = requirement.under
    if faults is not None and not hypothesis.controller:
        hypothesis = Hypothesis(count=faults, named=hypothesis.named)
    kind = REQUIREMENT_KINDS[requirement.kind]
    acts = acts_of(requirement)
    procedure = Procedure(acts, begins_when(requirement, sequence)) if acts else None
    return hypothesis, requirement.given, requirement.start_anywhere, kind.timed_from_fault, procedure


def _group(index: int, key: GroupKey, found: list[Watching]) -> Group:
    hypothesis, given, start_anywhere, timed_from_fault, procedure = key
    return Group(
        index=index,
        hypothesis=hypothesis,
        given=given,
        start_anywhere=start_anywhere,
        timed_from_fault=timed_from_fault,
        procedure=procedure,
        watching=tuple(found),
    )


def monitors_of(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    """What watches for one requirement."""
    return REQUIREMENT_KINDS[requirement.kind].monitors(requirement, sequence)


def group_monitors(sequence: Sequence, group: Group) -> tuple[Monitor, ...]:
    """The monitors of a group, in order."""
    by_id = {requirement.id: requirement for requirement in sequence.requirements}
    return tuple(monitors_of(by_id[part.requirement], sequence)[part.number] for part in group.watching)


def explored_options(group: Group, monitors: tuple[Monitor, ...], reductions: bool) -> NetworkOptions:
    """The options of the network that is explored.

    A requirement timed from a failure needs the failure at the moment at which it shows, not at the read that sees it.
    """
    options = NetworkOptions(
        given=group.given,
        late=reductions,
        at_read=reductions and not group.timed_from_fault and group.procedure is None,
        choose=reductions and group.procedure is None,
        procedure=group.procedure,
        controller_fault=group.hypothesis.controller,
    )
    return options_for(monitors, options)


def group_sequence(sequence: Sequence, group: Group, reductions: bool) -> Sequence:
    """The part of the sequence that can influence what the group watches; without reductions all of it."""
    if not reductions:
        return sequence
    more = () if group.procedure is None else (group.procedure.begins_when,)
    acts = () if group.procedure is None else tuple(act.device for act in group.procedure.acts)
    return sliced(sequence, group_monitors(sequence, group), more, acts)


def replay_network(sequence: Sequence, group: Group, reductions: bool) -> Network:
    """The network in which witnesses are replayed: inputs are devices, contacts fail as events."""
    monitors = group_monitors(sequence, group)
    options = NetworkOptions(
        given=group.given,
        at_read=False,
        choose=False,
        procedure=group.procedure,
        controller_fault=group.hypothesis.controller,
    )
    part = group_sequence(sequence, group, reductions)
    return watching(build_core(part, options_for(monitors, options)), monitors)


def without_clock(limits: Limits) -> Limits:
    """The limits but for seconds, which count for a whole check."""
    return replace(limits, seconds=None)
