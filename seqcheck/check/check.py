"""Check a sequence: explore, replay each witness, judge."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from seqcheck.check.explore_groups import Explored, explore_groups
from seqcheck.check.group import Group, group_monitors, groups_of, replay_network
from seqcheck.check.judge import Case, Part, judge, judge_figures
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.check.symmetry import by_symmetry, proven_with
from seqcheck.check.work import Wanted, Worker
from seqcheck.errors import UsageError, nearest_name
from seqcheck.explore.layers import Path
from seqcheck.explore.limits import StopReason
from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.network import Network
from seqcheck.language.expression import Expression
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.reader.findings import static_findings
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.interlock import speaks_of_machine


def check_sequence(sequence: Sequence, options: CheckOptions | None = None) -> Outcome:
    """The outcome of checking `sequence`.

    Raises UsageError if `options.only` names a requirement that the file does not have, or `faults` is not 0, 1 or 2.
    """
    options = options or CheckOptions()
    if options.faults not in (None, 0, 1, 2):
        raise UsageError(f"expected at most 0, 1 or 2 faults, found {options.faults}")
    requirements = _selected(sequence, options)
    images = proven_with(sequence, requirements) if options.symmetry else {}
    first = _judged(sequence, tuple(part for part in requirements if part.id not in images), options)
    outcomes = dict(first.outcomes)
    shown = tuple(part for part in requirements if part.id in images and outcomes[images[part.id][0].id].witness is not None)
    second = _judged(sequence, shown, _second_round(options, first)) if shown else None
    outcomes |= second.outcomes if second is not None else {}
    for requirement in requirements:
        if requirement.id not in outcomes:
            proven, exchange = images[requirement.id]
            outcomes[requirement.id] = by_symmetry(requirement, outcomes[proven.id], exchange)
    rounds = [part.explored for part in (first, second) if part is not None]
    found, loops = first.explored.unasked
    return Outcome(
        sequence=sequence,
        findings=static_findings(sequence),
        requirements=tuple(outcomes[requirement.id] for requirement in requirements),
        traps=found,
        time_loops=loops,
        classes=sum(explored.classes for explored in rounds),
        transitions=sum(part.transitions for explored in rounds for part in explored.explorations.values()),
        failure_modes=sum(len(behaviour.failures) for behaviour in behaviours_of(sequence)),
        stopped=StopReason.INTERRUPTED.value if any(explored.interrupted for explored in rounds) else "",
    )


def _second_round(options: CheckOptions, first: _Judged) -> CheckOptions:
    """Once interrupted, nothing more is explored: what is not known is undecided."""
    stopped = first.explored.interrupted
    return replace(options, traps=False, limits=replace(options.limits, seconds=0.0) if stopped else options.limits)


@dataclass(frozen=True, slots=True)
class _Judged:
    """What one round of explorations came to, by the ids of the requirements."""

    outcomes: dict[str, RequirementOutcome]
    explored: Explored


def _judged(sequence: Sequence, requirements: tuple[Requirement, ...], options: CheckOptions) -> _Judged:
    groups = groups_of(sequence, requirements, options.faults)
    explored = explore_groups(sequence, groups, options)
    judging = _Judging(sequence, groups, explored, Worker(sequence, options))
    return _Judged({part.id: judging.outcome(part) for part in requirements}, explored)


def _selected(sequence: Sequence, options: CheckOptions) -> tuple[Requirement, ...]:
    known = [requirement.id for requirement in sequence.requirements]
    for wanted in options.only:
        if wanted not in known:
            nearest = nearest_name(wanted, known)
            hint = f"; did you mean {nearest}?" if nearest else ""
            raise UsageError(f"{sequence.file} has no requirement {wanted!r}{hint}")
    return tuple(part for part in sequence.requirements if not options.only or part.id in options.only)


@dataclass(slots=True)
class _Judging:
    """Judges the requirements of one check. Mutable: it keeps networks and paths that several judgements need."""

    sequence: Sequence
    groups: tuple[Group, ...]
    explored: Explored
    worker: Worker
    replayed: dict[int, Network] = field(default_factory=dict)

    def outcome(self, requirement: Requirement) -> RequirementOutcome:
        """The verdict on one requirement."""
        figures = REQUIREMENT_KINDS[requirement.kind].figures
        if figures is not None:
            return judge_figures(requirement, figures(requirement, self.sequence))
        parts = [part for group in self.groups for part in self._parts(group, requirement)]
        parts.sort(key=lambda part: part.group.watching[part.number].number)
        return judge(
            Case(
                requirement=requirement,
                sequence=self.sequence,
                parts=tuple(parts),
                path_of=self.path_of,
                networks=self.networks,
                judged_on=judged_on(requirement, self.sequence),
            )
        )

    def _parts(self, group: Group, requirement: Requirement) -> list[Part]:
        exploration = self.explored.explorations[group.index]
        monitors = group_monitors(self.sequence, group)
        return [
            Part(
                monitor=monitors[number],
                number=number,
                summary=exploration.summaries[number],
                group=group,
                exploration=exploration,
            )
            for number, watching in enumerate(group.watching)
            if watching.requirement == requirement.id
        ]

    def path_of(self, group: Group, wanted: Wanted) -> Path:
        """A path, from those told while exploring or by exploring again."""
        known = self.explored.paths.get((group.index, wanted))
        if known is None:
            known = self.explored.paths[group.index, wanted] = self.worker.path(group, wanted)
        return known

    def networks(self, group: Group) -> tuple[Network, Network]:
        """The network explored for a group, and the one for replays."""
        if group.index not in self.replayed:
            self.replayed[group.index] = replay_network(self.sequence, group, self.worker.options.reductions)
        return self.worker.network(group), self.replayed[group.index]


def judged_on(requirement: Requirement, sequence: Sequence) -> str:
    """Whether the requirement was judged on what the machine does or on what the controller is told."""
    conditions = [entry.value for entry in requirement.entries if isinstance(entry.value, Expression)]
    on_machine = any(speaks_of_machine(condition, sequence) for condition in conditions)
    is_of_machine = REQUIREMENT_KINDS[requirement.kind].on_machine
    return "machine" if on_machine or is_of_machine else "signals"
