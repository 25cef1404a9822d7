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
    """Tallies of several subjects, and one of all states (`every`). Mutable; fed with states, then only read."""

    network: Network
    facts: FactMasks
    further: tuple[Test, ...]
    subjects: dict[str, Tally] = field(default_factory=dict)
    every: Tally = field(init=False)

    def __post_init__(self) -> None:
        """The tally of all states."""
        self.every = Tally(len(self.network.controller.charts))

    @classmethod
    def of(cls, network: Network, facts: FactMasks, names: Iterable[str], further: tuple[Test, ...]) -> Survey:
        """An empty survey of the subjects `names`."""
        charts = len(network.controller.charts)
        return cls(network, facts, further, {name: Tally(charts) for name in names})

    def see(self, states: Iterable[State]) -> None:
        """Take in states."""
        tests = [(is_on(self.network, name), tally) for name, tally in self.subjects.items()]
        for state in states:
            facts = self.facts.of(state.positions)
            self.every.see(state, facts)
            for test, tally in tests:
                if test(state):
                    tally.see(state, facts)
                    self._see_further(state, tally)

    def _see_further(self, state: State, tally: Tally) -> None:
        for number, test in enumerate(self.further):
            if number not in tally.broken and not test(state):
                tally.broken.add(number)
