"""For people's own tests: drawn runs of a sequence, and questions to ask of one.

@given(data=st.data())
def test_nobody_reaches_the_knife(sequence, data):
    run = data.draw(runs(sequence, faults=1))
    assert not run.ever("knife.is_moving AND hood.is_open")
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from hypothesis import strategies as st

from seqcheck.check.witness import witness_lines
from seqcheck.errors import Place, UsageError, nearest_name
from seqcheck.kernel.condition import Test, compile_condition, names_of
from seqcheck.kernel.network import Network
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.language.expression import parse_expression
from seqcheck.language.sequence import Given, Hypothesis, Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, format_time
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.drawn_run import Allowed
from seqcheck.simulate.run import Run
from seqcheck.simulate.scenario import scenario_of
from seqcheck.simulate.scenario_text import scenario_text
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.stage import Stage
from seqcheck.simulate.strategies import Drawing, DrawnRun, Setting, drawn_runs

Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True)
class SimulatedRun:
    """One run of a sequence. Shown as a table of what happened when."""

    sequence: Sequence
    network: Network
    run: Run

    @property
    def states(self) -> tuple[State, ...]:
        """The states that the run went through."""
        return (self.run.schedule.start, *(part.edge.target for part in self.run.schedule.happenings))

    @property
    def end_s(self) -> float:
        """How long it lasted, in seconds."""
        return self.run.end_us / MICROSECONDS_PER_SECOND

    def ever(self, condition: str) -> bool:
        """Whether a condition held in any state of the run.

        It may name inputs, outputs, facts (`hood.is_open`), flags, alarms and steps (`splice.cutting.X`). Raises UsageError for
        a name that the sequence does not have, SequenceFileError for what is no condition.
        """
        test = _test(self.network, condition)
        return any(test(state) for state in self.states)

    def always(self, condition: str) -> bool:
        """Whether a condition held in every state of the run; raises as `ever`."""
        test = _test(self.network, condition)
        return all(test(state) for state in self.states)

    def entered(self, step: str) -> tuple[float, ...]:
        """When the step `chart.step` was entered, in seconds. Raises UsageError if there is no such step."""
        place = _found(self.network.names.steps, f"{step}.X", "step", step)
        return tuple(
            part.time_us / MICROSECONDS_PER_SECOND
            for part in self.run.schedule.happenings
            if place in part.edge.entered
        )

    def scenario(self) -> str:
        """The text of a scenario file that `seqcheck simulate --scenario` runs again."""
        scenario = scenario_of(self.network, self.run.schedule, "a drawn run", (), self.run.end_us)
        return scenario_text(scenario, self.sequence.file)

    def __repr__(self) -> str:
        """The run as a table, which is what Hypothesis shows of a failing example."""
        rows = [
            f"  {format_time(line.time_us):>14}  {'FAILURE: ' * line.is_failure}{'ACT: ' * line.is_act}{line.what}"
            for line in witness_lines(self.network, self.run.schedule)
        ]
        return "\n".join([f"run of {self.sequence.file}", *rows])

    def _repr_pretty_(self, printer: object, cycle: bool) -> None:
        """The same where Hypothesis would print every field."""
        del cycle
        printer.text(repr(self))  # type: ignore[attr-defined]


def runs(
    sequence: Sequence | str | Path,
    *,
    faults: int = 0,
    failures: tuple[str, ...] = (),
    only_acts_of: tuple[str, ...] | None = None,
    most_acts: int = 16,
) -> st.SearchStrategy[SimulatedRun]:
    """Drawn runs from the normal start: acts, failures, times and periodic reads as the sequence allows.

    At most `faults` failures of those in `failures` (empty: of all). `only_acts_of`: devices that people act on; None: all.
    Raises UsageError for a failure or device that the sequence does not have.
    """
    read = sequence if isinstance(sequence, Sequence) else read_sequence(Path(sequence))
    stage = _stage(_Same(read))
    network = stage.network
    for name in failures:
        _found({mode.name: mode for mode in network.failures}, name, "failure", name)
    for name in only_acts_of or ():
        _found(network.machine_index, name, "device", name)
    allowed = Allowed(
        hypothesis=Hypothesis(count=faults, named=failures),
        given=Given(allowed=only_acts_of),
        most_acts=most_acts,
    )
    drawing = Drawing(
        stage=stage,
        starts=normal_start(network),
        settings=(Setting(allowed=allowed, enough=lambda _item: False),),
    )

    def told(drawn: DrawnRun) -> SimulatedRun:
        return SimulatedRun(read, network, drawn.run)

    return drawn_runs(drawing).map(told)


@dataclass(frozen=True, slots=True, eq=False)
class _Same:
    """A sequence, equal only to itself: comparing two deeply would cost more than building anew."""

    sequence: Sequence

    def __hash__(self) -> int:
        return id(self.sequence)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.sequence is self.sequence


@lru_cache(maxsize=4)
def _stage(same: _Same) -> Stage:
    return Stage(network_of(same.sequence))


def _test(network: Network, condition: str) -> Test:
    expression = parse_expression(condition, Place("condition", 1, 1))
    names = network.names
    known = {**names.signals, **names.outputs, **names.cells, **names.steps, **names.watchdogs, **names.facts}
    for name in names_of(expression):
        _found(known, name, "name", name)
    return compile_condition(expression, names.machine_test)


def _found(known: dict[str, Kind], name: str, what: str, shown: str) -> Kind:
    if name in known:
        return known[name]
    nearest = nearest_name(name, known)
    raise UsageError(
        f"the sequence has no {what} {shown!r}" + (f"; did you mean {nearest}?" if nearest else "")
    )
