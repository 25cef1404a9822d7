"""Property tests of a sequence: drawn runs in the concrete simulator, with every requirement watched, beside the proofs.

A run that breaks a requirement is shrunk to the fewest acts and the roundest times, and replayed. Draws are aimed at the least
margin of whatever has a longest time.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import HealthCheck, Phase, Verbosity, given, seed, settings, target

from seqcheck.check.outcome import Witness
from seqcheck.check.property_outcome import PropertyTests, Refutation, Tested
from seqcheck.check.watched_runs import WatchedRuns, refutes, watched_runs
from seqcheck.check.witness import witness_lines
from seqcheck.kernel.observer import StopwatchMonitor
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.simulate.measures import Noticed
from seqcheck.simulate.replay import replay
from seqcheck.simulate.run import Run
from seqcheck.simulate.scenario import scenario_of
from seqcheck.simulate.stage import Stage
from seqcheck.simulate.strategies import Drawing, DrawnRun, Setting, drawn_runs

MOST_SHRINKING = 400
"""Runs that shrinking one broken requirement may take; more would cost more than the roundest time is worth."""

FEWEST = 5
"""Runs for each hypothesis and given, however few are asked for in all."""


def property_tests(
    sequence: Sequence,
    requirements: tuple[Requirement, ...],
    faults: int | None,
    examples: int,
    seed_number: int,
    most_shrinking: int = MOST_SHRINKING,
) -> PropertyTests:
    """`examples` drawn runs that watch `requirements`; the same arguments give the same outcome.

    `faults` replaces the number of failures that each requirement states. `most_shrinking`: runs that shortening one may take.
    """
    parts = watched_runs(sequence, requirements, faults)
    asked = sum(len(part.asked) for part in parts)
    drawings = [_Drawing(part, Stage(part.network), seed_number, most_shrinking) for part in parts]
    for drawing in drawings:
        for number in range(len(drawing.watching.asked)):
            drawing.run(number, max(FEWEST, examples // asked))
    ids = {owner for part in parts for owner in part.owners}
    return PropertyTests(
        examples=examples,
        seed=seed_number,
        runs=sum(drawing.runs for drawing in drawings),
        shrinking=sum(drawing.shrinking for drawing in drawings),
        tested=tuple(
            _tested(requirement.id, drawings) for requirement in requirements if requirement.id in ids
        ),
    )


def _tested(requirement: str, drawings: list[_Drawing]) -> Tested:
    mine = [drawing for drawing in drawings if requirement in drawing.watching.owners]
    worst = [drawing.worst_us[requirement] for drawing in mine if requirement in drawing.worst_us]
    found = [drawing.refutation(requirement) for drawing in mine if requirement in drawing.broken]
    return Tested(
        requirement=requirement,
        watched=sum(drawing.watched.get(requirement, 0) for drawing in mine),
        tested=sum(drawing.tested.get(requirement, 0) for drawing in mine),
        worst_us=max(worst, default=None),
        refutation=next(iter(found), None),
    )


@dataclass(frozen=True, slots=True)
class _Broken:
    """A run that breaks a requirement, why, and the numbers it was drawn from."""

    run: Run
    why: str
    numbers: tuple[tuple[int, int], ...]

    @property
    def cost(self) -> tuple[object, ...]:
        """Fewest failures, acts and events first, then the smallest numbers, which are the roundest times."""
        events = [part.edge.event for part in self.run.schedule.happenings]
        failures, acts = sum(len(event.faults) for event in events), sum(len(event.acts) for event in events)
        return failures, acts, len(events), len(self.numbers), self.numbers


class _RefutedError(Exception):
    """A drawn run breaks a requirement; a class of its own for each requirement, so that each is shrunk for itself."""


class _ShrunkEnoughError(BaseException):
    """Shrinking has taken long enough. No Exception, so that Hypothesis lets it through instead of shrinking it too."""


@dataclass(slots=True)
class _Drawing:
    """Runs being drawn on one stage. Mutable; owned by `property_tests`."""

    watching: WatchedRuns
    stage: Stage
    seed_number: int
    most_shrinking: int
    runs: int = 0
    shrinking: int = 0
    watched: dict[str, int] = field(default_factory=dict)
    tested: dict[str, int] = field(default_factory=dict)
    worst_us: dict[str, int] = field(default_factory=dict)
    broken: dict[str, _Broken] = field(default_factory=dict)
    known: set[str] = field(default_factory=set)
    errors: dict[str, type[_RefutedError]] = field(default_factory=dict)
    numbers: list[tuple[int, int]] = field(default_factory=list)
    shrunk: int = 0

    def run(self, setting: int, examples: int) -> None:
        """Draw in one setting; once something is broken and shrunk, go on without it for the rest of the examples."""
        left = examples
        while left > 0:
            before = self.runs
            self._draw(setting, left)
            left -= max(1, self.runs - before)
            if set(self.broken) == self.known:
                return
            self.known = set(self.broken)
            self.shrunk = 0

    def _draw(self, setting: int, examples: int) -> None:
        asked = self.watching.asked[setting]
        drawing = Drawing(
            stage=self.stage,
            starts=self.watching.starts,
            settings=(Setting(allowed=asked.allowed, enough=_Enough(self, asked.monitors)),),
            begun=self._begin,
            seen=self._saw,
        )

        @seed(self.seed_number + len(self.known))
        @settings(
            max_examples=examples,
            database=None,
            deadline=None,
            phases=(Phase.generate, Phase.target, Phase.shrink),
            suppress_health_check=list(HealthCheck),
            verbosity=Verbosity.quiet,
        )
        @given(drawn=drawn_runs(drawing))
        def holds(drawn: DrawnRun) -> None:
            self._judge(drawn.run, asked.monitors)

        try:
            holds()
        except _ShrunkEnoughError:
            return
        except Exception:
            # Each requirement's own error, or several at once.
            if set(self.broken) == self.known:
                raise

    def _begin(self) -> None:
        """Forget the numbers of the run before; begin no further one once shrinking has taken long enough."""
        if self.shrunk >= self.most_shrinking:
            raise _ShrunkEnoughError
        self.numbers.clear()

    def _saw(self, number: int, count: int) -> None:
        self.numbers.append((number, count))

    def _judge(self, run: Run, monitors: frozenset[int]) -> None:
        numbers = tuple(self.numbers)
        is_shrinking = set(self.broken) != self.known
        self._count(run, monitors, is_shrinking)
        for item in run.noticed:
            why = self.against(item, monitors)
            if why is not None:
                owner = self.watching.owners[item.monitor]
                self._keep(owner, _Broken(run, why, numbers))
                raise self._error(owner)
        if not is_shrinking:
            self._aim(run, monitors)

    def _keep(self, owner: str, found: _Broken) -> None:
        """The simplest run against a requirement."""
        known = self.broken.get(owner)
        if known is None or found.cost <= known.cost:
            self.broken[owner] = found

    def _error(self, owner: str) -> _RefutedError:
        kind = self.errors.setdefault(owner, type(f"Refuted_{owner}", (_RefutedError,), {}))
        return kind(owner)

    def against(self, item: Noticed, monitors: frozenset[int]) -> str | None:
        """Why something noticed breaks a requirement that is not known to be broken, or None."""
        owner = self.watching.owners[item.monitor]
        if item.monitor not in monitors or owner in self.known:
            return None
        return refutes(item, self.watching.monitors[item.monitor])

    # -- counting --------------------------------------------------------------------------------------------

    def _count(self, run: Run, monitors: frozenset[int], is_shrinking: bool) -> None:
        if is_shrinking:
            self.shrinking += 1
            self.shrunk += 1
            return
        self.runs += 1
        for owner in {self.watching.owners[number] for number in monitors}:
            self.watched[owner] = self.watched.get(owner, 0) + 1
        for owner in {self.watching.owners[item.monitor] for item in run.noticed if item.monitor in monitors}:
            self.tested[owner] = self.tested.get(owner, 0) + 1
        for item in run.durations:
            owner = self.watching.owners[item.monitor]
            if item.monitor in monitors and item.value_us is not None:
                self.worst_us[owner] = max(self.worst_us.get(owner, 0), item.value_us)

    def _aim(self, run: Run, monitors: frozenset[int]) -> None:
        """Let draws climb towards the limit of every stopwatch that ran."""
        shares: dict[int, float] = {}
        for item in run.durations:
            monitor = self.watching.monitors[item.monitor]
            if item.monitor in monitors and isinstance(monitor, StopwatchMonitor) and monitor.at_most_us:
                share = (item.value_us or 0) / monitor.at_most_us
                shares[item.monitor] = max(share, shares.get(item.monitor, 0.0))
        for number, share in shares.items():
            target(share, label=f"{self.watching.owners[number]} {number}")

    def refutation(self, requirement: str) -> Refutation:
        """What was found against a requirement, replayed."""
        broken, network = self.broken[requirement], self.stage.network
        schedule = broken.run.schedule
        again = replay(network, schedule)
        happenings = schedule.happenings
        scenario = scenario_of(
            network, schedule, f"{requirement}: {broken.why}", (requirement,), broken.run.end_us
        )
        witness = Witness(
            lines=witness_lines(network, schedule),
            confirmed=again.confirmed,
            reason=again.reason,
            schedule=schedule,
            faults=sum(len(part.edge.event.faults) for part in happenings),
            acts=sum(len(part.edge.event.acts) for part in happenings),
            end_us=broken.run.end_us,
        )
        return Refutation(why=broken.why, witness=witness, scenario=scenario)


@dataclass(frozen=True, slots=True)
class _Enough:
    """Ends a run with what breaks a requirement."""

    drawing: _Drawing
    monitors: frozenset[int]

    def __call__(self, item: Noticed) -> bool:
        """Whether nothing more needs to be seen."""
        return self.drawing.against(item, self.monitors) is not None
