"""What a worker process does: explore a group, one of its jobs, or find a path again. It keeps what explorations share."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.check.group import Group, explored_options, group_monitors, group_sequence, without_clock
from seqcheck.check.options import CheckOptions
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.layers import LayeredSearch, Path
from seqcheck.explore.limits import StopReason
from seqcheck.explore.record import Where
from seqcheck.explore.search import Progress, Search, Seed
from seqcheck.explore.summary import Chain, Exploration
from seqcheck.kernel.build import build_core, watching
from seqcheck.kernel.draw_part import NO_DRAW, DrawPart
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.language.sequence import Sequence


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which place a path is wanted to: `bad`, `worst`, `best`, `over`, or the greatest `drawn` of a kind of draw."""

    chain: Chain
    monitor: int
    kind: str
    draw: DrawPart = NO_DRAW

    def where(self, search: Search) -> Where:
        """The place in a finished search."""
        record = search.records[self.monitor]
        found = record.draws[self.draw][1] if self.kind == "drawn" else getattr(record, self.kind)
        assert found is not None, f"{self} was found before and must be found again"
        return found


def wanted_paths(exploration: Exploration) -> tuple[Wanted, ...]:
    """The paths that a judgement needs: to each violation, and to each worst value."""
    found = []
    for number, summary in enumerate(exploration.summaries):
        for kind, place in (("bad", summary.bad), ("worst", summary.worst), ("best", summary.best)):
            if place is not None:
                found.append(Wanted(place.chain, number, kind))
        found.extend(Wanted(place.chain, number, "drawn", part) for part, place in summary.draws)
    return tuple(found)


@dataclass(slots=True)
class Worker:
    """The explorations of one sequence in one process. Mutable: it remembers cores, tables and layers without failures."""

    sequence: Sequence
    options: CheckOptions
    deadline: float | None = None
    progress: Progress | None = None
    cores: dict[object, tuple[Network, CoreStore]] = field(default_factory=dict)
    store: BoundsStore = field(default_factory=BoundsStore)
    searches: dict[int, LayeredSearch] = field(default_factory=dict)

    def base(self, group: Group) -> tuple[Exploration, dict[tuple[int, ...], tuple[Seed, ...]]]:
        """The layer without failures."""
        return self._search(group).base()

    def whole(self, group: Group) -> Exploration:
        """Every layer, here."""
        search = self._search(group)
        found, seeds = search.base()
        for failures, first in seeds.items():
            if found.stop is not StopReason.FINISHED:
                break
            found = found.merged(search.job(failures, first))
        return found

    def whole_with_paths(self, group: Group) -> tuple[Exploration, dict[Wanted, Path]]:
        """Every layer, and the paths that a judgement will ask for; while what they need is still at hand."""
        found = self.whole(group)
        paths = {wanted: self.path(group, wanted) for wanted in wanted_paths(found)}
        self.forget(group)
        return found, paths

    def job(self, group: Group, failures: tuple[int, ...], seeds: tuple[Seed, ...]) -> Exploration:
        """One first failure with all that follows."""
        return self._search(group).job(failures, seeds)

    def path(self, group: Group, wanted: Wanted) -> Path:
        """A path found before, told again."""
        return self._search(group).path(wanted.chain, wanted.where)

    def network(self, group: Group) -> Network:
        """The network that is explored for a group."""
        return self._search(group).network

    def forget(self, group: Group) -> None:
        """Let go of what only this group needs."""
        self.searches.pop(group.index, None)

    def _search(self, group: Group) -> LayeredSearch:
        if group.index not in self.searches:
            monitors = group_monitors(self.sequence, group)
            part = group_sequence(self.sequence, group, self.options.reductions)
            core_network, core = self._core(part, explored_options(group, monitors, self.options.reductions))
            self.searches[group.index] = LayeredSearch(
                network=watching(core_network, monitors),
                monitors=monitors,
                hypothesis=group.hypothesis,
                start_anywhere=group.start_anywhere,
                limits=without_clock(self.options.limits),
                deadline=self.deadline,
                progress=self.progress,
                covers=self.options.reductions and not group.timed_from_fault and group.procedure is None,
                core=core,
                store=self.store,
            )
        return self.searches[group.index]

    def _core(self, part: Sequence, options: NetworkOptions) -> tuple[Network, CoreStore]:
        """Networks of the same part whose reductions leave the same names alone share their core."""
        network = build_core(part, options)
        identity = (
            tuple(machine.name for machine in network.machines),
            network.controller.cell_labels,
            options.given,
            options.controller_fault,
            options.procedure,
            options.late,
            network.chosen,
            network.contacts_at_read,
        )
        return self.cores.setdefault(identity, (network, CoreStore(network)))
