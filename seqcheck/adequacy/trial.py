"""One batch explored, for the sequence itself or for a changed one: what each requirement then says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum

from seqcheck.adequacy.batch import Batch
from seqcheck.adequacy.changed_core import IsTouched
from seqcheck.adequacy.layered import Layered, allows, layers
from seqcheck.adequacy.reached import Reached, beyond
from seqcheck.check.draw import draws_in_a_row
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.search import Search
from seqcheck.explore.summary import Chain, MonitorSummary, summary_of
from seqcheck.explore.time_loop import devices_in_time_loop
from seqcheck.kernel.build import watching
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import DrawMonitor, Monitor, ReadMonitor, StateMonitor


class How(StrEnum):
    """How a requirement notices: each is not a pass."""

    VIOLATED = "violated"
    VACUOUS = "vacuous"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class Notice:
    """A requirement that no longer holds, and how."""

    requirement: str
    how: How


@dataclass(frozen=True, slots=True)
class Answer:
    """The first requirement that notices, if any; `is_cut`: a limit on classes ended a search, so that more might."""

    notice: Notice | None
    is_cut: bool = False
    begun: frozenset[int] = frozenset()
    """The numbers of the monitors that were put to the test."""

    @property
    def is_quiet(self) -> bool:
        """Whether it is known that nothing notices."""
        return self.notice is None and not self.is_cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A batch with the network to explore. `heard` are the numbers of the monitors whose word counts."""

    batch: Batch
    network: Network
    monitors: tuple[Monitor, ...]
    core: CoreStore
    store: BoundsStore
    heard: frozenset[int]
    limits: Limits = field(default_factory=Limits)

    def hearing(self, heard: frozenset[int]) -> Trial:
        """The same with other monitors whose word counts."""
        return replace(self, heard=heard)

    def first_notice(self, *, with_failures: bool, first_failures: tuple[str, ...] = ()) -> Answer:
        """The first requirement that notices.

        Without failures: whatever goes wrong in such runs, and what is no longer put to the test. With: one failure at most in a
        run, `first_failures` before others.
        """
        tally = Tally(self, with_failures=with_failures)
        asked = self._layers(tally.numbers, first_failures, with_failures=with_failures, stops_early=True)
        for chain, search in asked:
            notice = tally.add(chain, search)
            if notice is not None:
                return Answer(notice)
        return Answer(tally.at_the_end(), tally.is_cut, tally.begun)

    def may_notice(self, known: Reached, is_touched: IsTouched, begun: frozenset[int]) -> tuple[str, ...] | None:
        """Whether anything may notice under one failure: None if nothing can, else the failure to try first, if one is suspected.

        `begun`: the monitors that runs without failures put to the test; whether the others are is for `first_notice` to say.
        """
        tally = Tally(self, with_failures=True)
        if any(self._may_be_untested(number, begun) for number in tally.numbers):
            return ()
        asked = self._asked(tally.numbers, with_failures=True, stops_early=True)
        found = beyond(asked, known, is_touched)
        if found.suspects is not None:
            return tuple(self.network.failures[index].name for index in found.suspects)
        for place, number in enumerate(tally.numbers):
            monitor = self.monitors[number]
            draws = known.summaries[place].merged(found.summaries[place]).draws
            if isinstance(monitor, DrawMonitor) and draws_in_a_row(monitor, draws):
                return ()
        return None

    def _may_be_untested(self, number: int, begun: frozenset[int]) -> bool:
        """Whether the monitor is the only one of its requirement, and not known to be put to the test."""
        is_alone = self.batch.group.watching[number].requirement in self.batch.alone
        is_timed = not isinstance(self.monitors[number], ReadMonitor | StateMonitor)
        return is_alone and is_timed and number not in begun

    def all_notices(self, *, with_failures: bool, reached: Reached | None = None) -> tuple[Notice, ...]:
        """Every requirement that does not hold, each once. `reached` takes in what was explored."""
        tally = Tally(self, with_failures=with_failures)
        found: dict[str, Notice] = {}
        for chain, search in self._layers(tally.numbers, (), with_failures=with_failures):
            for notice in tally.all_of(chain, search):
                found.setdefault(notice.requirement, notice)
            if reached is not None:
                reached.add(chain, search)
        if reached is not None:
            reached.summaries = tuple(tally.summaries)
        for notice in tally.all_at_the_end():
            found.setdefault(notice.requirement, notice)
        return tuple(found.values())

    def _layers(
        self,
        numbers: tuple[int, ...],
        first_failures: tuple[str, ...],
        *,
        with_failures: bool,
        stops_early: bool = False,
    ) -> Iterator[tuple[Chain, Search]]:
        """The layers; those of `first_failures` (by name, or by their device's) before others."""
        asked = self._asked(numbers, with_failures=with_failures, stops_early=stops_early)

        def order(failures: tuple[int, ...]) -> object:
            mode = asked.network.failures[failures[0]]
            return (mode.name not in first_failures, mode.device not in first_failures, failures)

        return layers(asked, order)

    def _asked(self, numbers: tuple[int, ...], *, with_failures: bool, stops_early: bool) -> Layered:
        monitors = tuple(self.monitors[number] for number in numbers)
        return Layered(
            network=watching(self.network, monitors),
            monitors=monitors,
            core=self.core,
            store=self.store,
            failures=self.failures_of(numbers) if with_failures else None,
            covers=self.batch.covers_failures(),
            start_anywhere=self.batch.group.start_anywhere,
            limits=self.limits,
            hypotheses=tuple(self.batch.hypotheses[number] for number in numbers),
            stops_early=stops_early,
        )

    def failures_of(self, numbers: tuple[int, ...]) -> frozenset[int]:
        """The failures under which one of the monitors must hold."""
        return frozenset(
            mode.index
            for mode in self.network.failures
            if any(allows(self.batch.hypotheses[number], mode.name) for number in numbers)
        )


class Tally:
    """What the layers of one trial have come to so far. Mutable; owned by the trial's exploration."""

    def __init__(self, trial: Trial, *, with_failures: bool) -> None:
        """Nothing yet. With failures only monitors that must hold under one take part."""
        self.trial = trial
        self.with_failures = with_failures
        hypotheses = trial.batch.hypotheses
        self.numbers = tuple(
            number for number in sorted(trial.heard) if not with_failures or hypotheses[number].count > 0
        )
        self.is_cut = False
        """Whether a search ended at the limit on classes: what was not seen says nothing then."""
        self.summaries = [MonitorSummary() for _ in self.numbers]

    @property
    def begun(self) -> frozenset[int]:
        """The monitors that were put to the test."""
        pairs = zip(self.numbers, self.summaries, strict=True)
        return frozenset(number for number, summary in pairs if summary.started is not None)

    def add(self, chain: Chain, search: Search) -> Notice | None:
        """Take in a layer; the first requirement that it shows violated."""
        return next(iter(self.all_of(chain, search)), None)

    def all_of(self, chain: Chain, search: Search) -> list[Notice]:
        """Take in a layer; every requirement that it shows violated or that it leaves undecided, by cost of the run."""
        found = []
        for place, number in enumerate(self.numbers):
            if chain and not allows(self.trial.batch.hypotheses[number], self._failure(chain)):
                continue
            summary = summary_of(search.records[place], chain)
            self.summaries[place] = self.summaries[place].merged(summary)
            if summary.bad is not None:
                found.append((summary.bad.cost, place, Notice(self._id(number), How.VIOLATED)))
        if not found and search.stop is StopReason.CLASSES:
            self.is_cut = True
        elif not found and (search.stop is not StopReason.FINISHED or devices_in_time_loop(search)):
            found.extend(((0, 0, 0), place, Notice(self._id(n), How.UNDECIDED)) for place, n in enumerate(self.numbers))
        return [notice for _, _, notice in sorted(found, key=lambda entry: entry[:2])]

    def at_the_end(self) -> Notice | None:
        """What only all layers together show."""
        return next(self.all_at_the_end(), None)

    def all_at_the_end(self) -> Iterator[Notice]:
        """Draws in a row that are not decided, and requirements that are no longer put to the test."""
        if self.is_cut:
            return
        for place, number in enumerate(self.numbers):
            monitor, summary = self.trial.monitors[number], self.summaries[place]
            if isinstance(monitor, DrawMonitor) and draws_in_a_row(monitor, summary.draws):
                yield Notice(self._id(number), How.UNDECIDED)
            elif self._is_untested(number, monitor, summary):
                yield Notice(self._id(number), How.VACUOUS)

    def _is_untested(self, number: int, monitor: Monitor, summary: MonitorSummary) -> bool:
        """Whether the monitor was never put to the test, judged as `check` does.

        Conditions of states and reads must be seen in runs without failures. A time must begin in any run that its hypothesis
        allows; whether it does under failures only they can show.
        """
        match monitor:
            case ReadMonitor():
                return not summary.started_in_layer_0
            case StateMonitor():
                return any(part not in summary.parts_in_layer_0 for part in range(len(monitor.parts)))
        is_last_word = self.with_failures or self.trial.batch.hypotheses[number].count == 0
        # With several monitors one that begins is enough, and others may be in another batch: taken as tested.
        return is_last_word and self._id(number) in self.trial.batch.alone and summary.started is None

    def _id(self, number: int) -> str:
        return self.trial.batch.group.watching[number].requirement

    def _failure(self, chain: Chain) -> str:
        return self.trial.network.failures[chain[0][0]].name
