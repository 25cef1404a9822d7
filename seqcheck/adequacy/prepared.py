"""What all trials of one sequence share: the explorations of the sequence as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from seqcheck.adequacy.batch import Batch, batches_of, monitors_in, owner_names
from seqcheck.adequacy.change import Change
from seqcheck.adequacy.local import Local, explore_around, part_around, seeds_of
from seqcheck.adequacy.reached import Reached
from seqcheck.adequacy.trial import Notice, Trial
from seqcheck.check.group import explored_options
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.limits import Limits
from seqcheck.kernel.build import build_core
from seqcheck.language.sequence import Sequence
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS

MOST_TABLES = 3
"""How many times as many tables as the sequence itself needs are kept."""

Said = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A batch of the sequence as it is. `trial` hears the requirements that hold; the rest cannot notice anything.

    `cost`: states without failures. `states`, `tables`: what its stores hold of the sequence as it is.
    """

    batch: Batch
    trial: Trial
    cost: int
    states: int
    tables: int
    has_failures: bool
    reached: Reached

    def tidy(self) -> None:
        """Let go of what trying a change has left behind in the stores of the sequence as it is."""
        nodes = self.trial.core.nodes
        while len(nodes) > self.states:
            nodes.popitem()  # the last ones added
        if len(self.trial.store) > MOST_TABLES * self.tables:
            self.trial.store.forget()


@dataclass(slots=True)
class Prepared:
    """Mutable: its stores fill while changes are tried. `not_held`: requirements that do not hold in the first place."""

    sequence: Sequence
    with_failures: bool
    limits: Limits
    known: tuple[Known, ...] = ()
    figures: tuple[str, ...] = ()
    not_held: tuple[Notice, ...] = ()
    locals: dict[tuple[str, ...], Local] = field(default_factory=dict)

    def local(self, change: Change) -> Local | None:
        """The surroundings that a change is judged in, or None where they are too large to explore."""
        local = self.locals.get(owner_names(part_around(self.sequence, seeds_of(change))))
        return local if local is not None and local.is_complete else None


def prepare(sequence: Sequence, changes: tuple[Change, ...], limits: Limits, *, with_failures: bool, say: Said) -> Prepared:
    """Explore the sequence as it is: what holds, and what happens around each place of a change.

    Raises KeyboardInterrupt if stopped.
    """
    prepared = Prepared(sequence, with_failures, limits)
    prepared.figures = figures_that_hold(sequence)
    known = []
    for batch in batches_of(sequence, sequence.requirements):
        say(f"requirements {', '.join(batch.requirements[:3])} ...")
        found, notices = _know(prepared, batch)
        known.append(found)
        known_broken = {notice.requirement for notice in prepared.not_held}
        prepared.not_held += tuple(notice for notice in notices if notice.requirement not in known_broken)
    prepared.known = tuple(sorted(known, key=lambda part: part.cost))
    for key, part in _parts_around(sequence, changes).items():
        say("surroundings")
        prepared.locals[key] = explore_around(part, with_failures=with_failures)
    return prepared


def _know(prepared: Prepared, batch: Batch) -> tuple[Known, tuple[Notice, ...]]:
    monitors = monitors_in(prepared.sequence, batch)
    network = build_core(batch.part, explored_options(batch.group, monitors, reductions=True))
    trial = Trial(
        batch=batch,
        network=network,
        monitors=monitors,
        core=CoreStore(network),
        store=BoundsStore(),
        heard=frozenset(range(len(monitors))),
        limits=prepared.limits,
    )
    has_failures = prepared.with_failures and any(part.count > 0 for part in batch.hypotheses)
    notices = trial.all_notices(with_failures=False)
    states_without = len(trial.core.nodes)
    reached = Reached()
    if has_failures:
        notices += trial.all_notices(with_failures=True, reached=reached)
    notices = tuple({notice.requirement: notice for notice in reversed(notices)}.values())
    broken = {notice.requirement for notice in notices}
    heard = frozenset(
        number for number, part in enumerate(batch.group.watching) if part.requirement not in broken
    )
    if has_failures and broken:  # watched by fewer, the states are others
        reached = Reached()
        trial.hearing(heard).all_notices(with_failures=True, reached=reached)
    known = Known(
        batch=batch,
        trial=trial.hearing(heard),
        cost=states_without,
        states=len(trial.core.nodes),
        tables=len(trial.store),
        has_failures=has_failures,
        reached=reached,
    )
    return known, notices


def figures_that_hold(sequence: Sequence) -> tuple[str, ...]:
    """The requirements that numbers of the machine decide, and that hold."""
    return tuple(part.id for part in sequence.requirements if _figures_hold(sequence, part.id))


def _figures_hold(sequence: Sequence, identity: str) -> bool:
    requirement = next(part for part in sequence.requirements if part.id == identity)
    figures = REQUIREMENT_KINDS[requirement.kind].figures
    return figures is not None and all(figure.holds for figure in figures(requirement, sequence))


def _parts_around(sequence: Sequence, changes: tuple[Change, ...]) -> dict[tuple[str, ...], Sequence]:
    """One part for all owners that the same devices and charts can influence."""
    owners: dict[tuple[str, ...], tuple[str, ...]] = {}
    for change in changes:
        key = owner_names(part_around(sequence, seeds_of(change)))
        owners[key] = tuple(dict.fromkeys((*owners.get(key, ()), *seeds_of(change))))
    return {key: part_around(sequence, names) for key, names in owners.items()}


