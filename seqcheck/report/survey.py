"""What always holds while something is on, gathered over all states that an exploration has been to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from seqcheck.kernel.condition import Test
from seqcheck.kernel.network import Network
from seqcheck.kernel.part import Positions
from seqcheck.kernel.state import State
from seqcheck.report.subjects import is_on


class FactMasks:
    """All facts of a network as bits; positions repeat, so their masks are kept."""

    def __init__(self, network: Network) -> None:
        """Number the facts."""
        self.names = tuple(network.names.facts)
        self._bits: list[dict[int, int]] = [{} for _ in network.machines]
        for bit, (machine, holders) in enumerate(network.names.facts.values()):
            for position in holders:
                self._bits[machine][position] = self._bits[machine].get(position, 0) | 1 << bit
        self._known: dict[Positions, int] = {}

    def of(self, positions: Positions) -> int:
        """The facts that are true where the devices stand so."""
        known = self._known.get(positions)
        if known is None:
            parts = (bits.get(number, 0) for bits, number in zip(self._bits, positions.numbers, strict=True))
            known = self._known[positions] = sum(parts)
        return known


@dataclass(slots=True)
class Tally:
    """What was seen while one subject was on. Mutable. Masks hold what was true in every state, and what was false in every one."""

    charts: int
    states: int = 0
    true_facts: int = -1
    false_facts: int = -1
    true_signals: int = -1
    false_signals: int = -1
    steps: list[set[int]] = field(default_factory=list)
    broken: set[int] = field(default_factory=set)
    """Numbers of the further conditions that did not hold in some state."""

    def __post_init__(self) -> None:
        """One set of steps a chart."""
        self.steps = [set() for _ in range(self.charts)]

    def join(self, other: Tally) -> None:
        """Take in what another tally has seen."""
        self.states += other.states
        self.true_facts &= other.true_facts
        self.false_facts &= other.false_facts
        self.true_signals &= other.true_signals
        self.false_signals &= other.false_signals
        self.broken |= other.broken
        for steps, more in zip(self.steps, other.steps, strict=True):
            steps |= more

    def see(self, state: State, facts: int) -> None:
        """Take in one state."""
        self.states += 1
        self.true_facts &= facts
        self.false_facts &= ~facts
        self.true_signals &= state.signals
        self.false_signals &= ~state.signals
        for steps, step in zip(self.steps, state.control.memory, strict=False):
            steps.add(step)


@dataclass(slots=True)
class Survey:
    """Tallies of several subjects, and one of all states (`every`). Mutable; small enough to hand to another process."""

    every: Tally
    subjects: dict[str, Tally]

    @classmethod
    def of(cls, charts: int, names: Iterable[str]) -> Survey:
        """An empty survey of the subjects `names`."""
        return cls(Tally(charts), {name: Tally(charts) for name in names})

    def join(self, other: Survey) -> None:
        """Take in another survey of the same subjects."""
        self.every.join(other.every)
        for name, tally in self.subjects.items():
            tally.join(other.subjects[name])


class Surveyor:
    """Looks at states for a survey; `further` are conditions that are no single fact or input."""

    def __init__(self, network: Network, names: Iterable[str], further: tuple[Test, ...]) -> None:
        """Make the tests of the subjects `names`."""
        self._facts = FactMasks(network)
        self._tests = [(name, is_on(network, name)) for name in names]
        self._further = further

    def look(self, survey: Survey, states: Iterable[State]) -> None:
        """Take `states` into `survey`."""
        for state in states:
            facts = self._facts.of(state.positions)
            survey.every.see(state, facts)
            for name, test in self._tests:
                if test(state):
                    tally = survey.subjects[name]
                    tally.see(state, facts)
                    self._see_further(state, tally)

    def _see_further(self, state: State, tally: Tally) -> None:
        for number, test in enumerate(self._further):
            if number not in tally.broken and not test(state):
                tally.broken.add(number)
