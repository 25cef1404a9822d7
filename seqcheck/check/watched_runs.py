"""Where requirements are watched in drawn runs: a network with monitors, and the settings that requirements ask for."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.group import Group, group_monitors, groups_of
from seqcheck.kernel.build import build_core, options_for, watching
from seqcheck.kernel.network import Network, NetworkOptions, Procedure
from seqcheck.kernel.observer import DrawMonitor, Monitor
from seqcheck.kernel.start import Start, normal_start, starts_anywhere
from seqcheck.language.sequence import Given, Hypothesis, Requirement, Sequence
from seqcheck.simulate.drawn_run import Allowed
from seqcheck.simulate.measures import Noticed, violation

MOST_STARTS = 500
"""Starts of a run that may begin anywhere; of more, the first are drawn from."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What requirements ask runs to be drawn for, and which monitors such a run can speak against."""

    allowed: Allowed
    monitors: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedRuns:
    """One network to draw runs on. `owners` has the requirement of each monitor."""

    network: Network
    monitors: tuple[Monitor, ...]
    owners: tuple[str, ...]
    asked: tuple[Asked, ...]
    starts: tuple[Start, ...]


def watched_runs(
    sequence: Sequence, requirements: tuple[Requirement, ...], faults: int | None
) -> tuple[WatchedRuns, ...]:
    """The networks that serve `requirements`; `faults` replaces the number of failures each one states."""
    shared: dict[tuple[Procedure | None, bool, bool], list[Group]] = {}
    for group in groups_of(sequence, requirements, faults):
        key = (group.procedure, group.hypothesis.controller, group.start_anywhere)
        shared.setdefault(key, []).append(group)
    return tuple(_watched(sequence, groups) for groups in shared.values())


def watched_scenario(sequence: Sequence, ids: tuple[str, ...]) -> WatchedRuns:
    """The network for a scenario that was made for these requirements; for none, every one that watches plain runs is on it."""
    wanted = tuple(requirement for requirement in sequence.requirements if requirement.id in ids)
    if wanted:
        return watched_runs(sequence, wanted, None)[0]
    plain = [part for part in watched_runs(sequence, sequence.requirements, None) if _is_plain(part)]
    return plain[0] if plain else _bare(sequence)


def _is_plain(part: WatchedRuns) -> bool:
    return part.network.operator is None and not part.network.options.controller_fault


def _bare(sequence: Sequence) -> WatchedRuns:
    network = build_core(sequence, NetworkOptions(at_read=False, choose=False))
    return WatchedRuns(network=network, monitors=(), owners=(), asked=(), starts=normal_start(network))


def _watched(sequence: Sequence, groups: list[Group]) -> WatchedRuns:
    monitors = tuple(monitor for group in groups for monitor in group_monitors(sequence, group))
    owners = tuple(part.requirement for group in groups for part in group.watching)
    options = NetworkOptions(
        at_read=False,
        choose=False,
        procedure=groups[0].procedure,
        controller_fault=groups[0].hypothesis.controller,
    )
    core = build_core(sequence, options_for(monitors, options))
    network = watching(core, monitors)
    starts = starts_anywhere(network, MOST_STARTS)[0] if groups[0].start_anywhere else normal_start(network)
    return WatchedRuns(network=network, monitors=monitors, owners=owners, asked=_asked(groups), starts=starts)


def _asked(groups: list[Group]) -> tuple[Asked, ...]:
    """Each hypothesis and given once, the fewest failures first."""
    wanted = sorted({(group.hypothesis, group.given) for group in groups}, key=_simplicity)
    return tuple(
        Asked(Allowed(hypothesis=hypothesis, given=given), _serving(groups, hypothesis, given))
        for hypothesis, given in wanted
    )


def _simplicity(pair: tuple[Hypothesis, Given]) -> tuple[int, bool, str]:
    hypothesis, given = pair
    return hypothesis.count, given.allowed is None, f"{hypothesis.text} {given.text}"


def _serving(groups: list[Group], hypothesis: Hypothesis, given: Given) -> frozenset[int]:
    """The monitors whose requirements must hold in every run under `hypothesis` and `given`."""
    found: list[int] = []
    number = 0
    for group in groups:
        if _allows(group.hypothesis, hypothesis) and _grants(group.given, given):
            found.extend(range(number, number + len(group.watching)))
        number += len(group.watching)
    return frozenset(found)


def _allows(wide: Hypothesis, narrow: Hypothesis) -> bool:
    if narrow.count > wide.count or wide.controller is not narrow.controller:
        return False
    return (
        narrow.count == 0 or not wide.named or (bool(narrow.named) and set(narrow.named) <= set(wide.named))
    )


def _grants(wide: Given, narrow: Given) -> bool:
    """Whether everything that `narrow` lets people do, `wide` does too."""
    still = {device for device, _ in narrow.still}
    acting = None if narrow.allowed is None else set(narrow.allowed) - still
    if wide.allowed is not None and (acting is None or not acting <= set(wide.allowed)):
        return False
    kept = {device for device, _ in wide.still}
    return all(device in still or (acting is not None and device not in acting) for device in kept)


def refutes(item: Noticed, monitor: Monitor) -> str | None:
    """Why what was noticed breaks the requirement of `monitor`, or None.

    Of draws in a row only the first is judged, and of those whose value is a bound none: the run need not have drawn as much.
    """
    if isinstance(monitor, DrawMonitor) and not (item.draw.is_first and item.draw.is_whole):
        return None
    return violation(item, monitor)
