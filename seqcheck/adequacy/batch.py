"""Batches: requirements that one exploration can serve while changes are tried.

A check keeps long times apart, one by one. Here only counts whether anything notices, and fewer explorations are quicker.
Requirements share a batch if the same acts are allowed and the same devices and charts can influence them, so that none has to
carry what only others need: one batch for states and instants, one for times and orders, one for draws.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from seqcheck.check.group import (
    INSTANT_US,
    Group,
    Watching,
    explored_options,
    group_monitors,
    group_sequence,
    groups_of,
)
from seqcheck.kernel.build import build_core
from seqcheck.kernel.observer import DrawMonitor, Monitor, ReadMonitor, StateMonitor, StopwatchMonitor
from seqcheck.language.sequence import Hypothesis, Requirement, Sequence

NO_FAULT = Hypothesis()


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One exploration for many monitors; `hypotheses` has one for each, the group's own is not looked at.

    `part` is what is explored of the sequence. `alone` are the requirements that have one monitor in all.
    """

    group: Group
    hypotheses: tuple[Hypothesis, ...]
    part: Sequence
    alone: frozenset[str]

    @property
    def requirements(self) -> tuple[str, ...]:
        """The ids of the requirements that it serves, each once."""
        return tuple(dict.fromkeys(part.requirement for part in self.group.watching))

    def covers_failures(self) -> bool:
        """Whether a failure that no longer shows may be left out (see explore/cover.py)."""
        return not self.group.timed_from_fault and self.group.procedure is None


def batches_of(sequence: Sequence, requirements: tuple[Requirement, ...]) -> tuple[Batch, ...]:
    """The batches that serve `requirements`, in the order of the first requirement of each."""
    shared: dict[object, list[tuple[Group, Watching]]] = {}
    for group in groups_of(sequence, requirements, None):
        for watching in group.watching:
            alone = replace(group, hypothesis=NO_FAULT, watching=(watching,))
            conditions = replace(alone, index=0, watching=())
            key = (conditions, group.hypothesis.controller, _company(sequence, alone), *_carried(sequence, alone))
            shared.setdefault(key, []).append((group, watching))
    monitors = Counter(watching.requirement for members in shared.values() for _, watching in members)
    once = frozenset(name for name, count in monitors.items() if count == 1)
    return tuple(_batch(sequence, index, members, once) for index, members in enumerate(shared.values()))


def _company(sequence: Sequence, group: Group) -> str:
    """Draws, and times that run on beside one another, are kept away from what adds nothing to the states."""
    [monitor] = group_monitors(sequence, group)
    if isinstance(monitor, DrawMonitor):
        return "draws"
    is_brief = isinstance(monitor, StopwatchMonitor) and monitor.length_us <= INSTANT_US
    return "states" if is_brief or isinstance(monitor, StateMonitor | ReadMonitor) else "times"


def _carried(sequence: Sequence, group: Group) -> tuple[object, ...]:
    """What an exploration for this group alone carries: devices, circuits, charts, and which inputs are chosen at the read."""
    part = group_sequence(sequence, group, reductions=True)
    network = build_core(part, explored_options(group, group_monitors(sequence, group), reductions=True))
    return owner_names(part), tuple(choice.device for choice in network.chosen)


def _batch(
    sequence: Sequence, index: int, found: list[tuple[Group, Watching]], alone: frozenset[str]
) -> Batch:
    first = found[0][0]
    group = replace(
        first,
        index=index,
        hypothesis=Hypothesis(controller=first.hypothesis.controller),
        watching=tuple(watching for _, watching in found),
    )
    return Batch(
        group=group,
        hypotheses=tuple(other.hypothesis for other, _ in found),
        part=group_sequence(sequence, group, reductions=True),
        alone=alone,
    )


def owner_names(part: Sequence) -> tuple[str, ...]:
    """The devices, circuits and charts of a part."""
    devices, circuits = (device.name for device in part.devices), (circuit.name for circuit in part.circuits)
    return (*devices, *circuits, *(chart.name for chart in part.charts))


def monitors_in(sequence: Sequence, batch: Batch) -> tuple[Monitor, ...]:
    """The batch's monitors as `sequence` asks for them. Raises SequenceFileError where it lacks data that one needs."""
    return group_monitors(sequence, batch.group)
