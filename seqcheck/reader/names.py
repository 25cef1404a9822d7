"""All names of a file in one space: what each is, where it stands, and who may read it.

A step is called `chart.step`, or `step` where no other chart has a step of that name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import Enum

from seqcheck.errors import Place
from seqcheck.plant.behaviour import Behaviour
from seqcheck.reader.problem_log import ProblemLog


class NameKind(Enum):
    """What a name stands for; the value is the word for it in a sentence."""

    SIGNAL = "an input"
    OUTPUT = "an output"
    FLAG = "a flag"
    ALARM = "an alarm"
    FACT = "a fact of the machine"
    STEP = "a step flag"
    DEVICE = "a device"
    CIRCUIT = "a circuit"
    CHART = "a chart"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepName:
    """A step and whether it has a watchdog, on which `step.late` rests."""

    chart: str
    step: str
    has_watchdog: bool

    @property
    def full(self) -> str:
        """`chart.step`."""
        return f"{self.chart}.{self.step}"


@dataclass(slots=True)
class Names:
    """The declared names; filled by `read_sequence` before any condition is looked up, then only read.

    `doubtful`: texts in broken parts, which may be names; that these are not known is not reported again.
    `doubtful_owners`: devices whose facts are not known because something else in them is wrong.
    """

    kinds: dict[str, NameKind] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    steps: list[StepName] = field(default_factory=list)
    steps_by_spelling: dict[str, list[StepName]] = field(default_factory=dict)
    failures: list[str] = field(default_factory=list)
    behaviours: dict[str, Behaviour] = field(default_factory=dict)
    doubtful: set[str] = field(default_factory=set)
    doubtful_owners: set[str] = field(default_factory=set)
    step_flags: dict[str, str] = field(default_factory=dict)
    """Other names for step flags: `knife_late.first`."""

    def declare(self, name: str, kind: NameKind, place: Place, log: ProblemLog) -> None:
        """Add a name that nothing else may have; an output may be named by several devices."""
        known = self.kinds.get(name)
        if known is None:
            self.kinds[name], self.places[name] = kind, place
        elif known is not kind or kind is not NameKind.OUTPUT:
            first = self.places[name]
            log.note(place, "each name once", f"{name!r}, already {known.value} in {first}")

    def declare_step(self, step: StepName, place: Place, log: ProblemLog) -> None:
        """Add a step; another chart may have one of the same name, anything else may not."""
        known = self.kinds.get(step.step)
        if known is not None:
            found = f"{step.step!r}, already {known.value} in {self.places[step.step]}"
            log.note(place, "each name once", found)
        self.steps.append(step)
        for spelling in (step.full, step.step):
            self.steps_by_spelling.setdefault(spelling, []).append(step)

    def of_kind(self, *kinds: NameKind) -> tuple[str, ...]:
        """Return all names of these kinds in the order of declaration."""
        return tuple(name for name, kind in self.kinds.items() if kind in kinds)

    def is_doubtful(self, name: str) -> bool:
        """Whether the name may belong to a part that is broken and already reported."""
        owner = name.partition(".")[0]
        return name in self.doubtful or owner in self.doubtful or owner in self.doubtful_owners

    def steps_called(self, name: str) -> tuple[StepName, ...]:
        """Return the steps that `chart.step` or `step` can mean: none, one, or several in as many charts."""
        return tuple(self.steps_by_spelling.get(name, ()))

    def step_spellings(self) -> Iterator[str]:
        """Yield every way to call a step."""
        for step in self.steps:
            yield step.full
            yield step.step

    def flag_spellings(self) -> Iterable[str]:
        """Return every step flag as it may stand in a condition."""
        flags = [f"{name}.X" for name in self.step_spellings()]
        late = [f"{name}.late" for step in self.steps if step.has_watchdog for name in (step.full, step.step)]
        return [*flags, *late, *self.step_flags]
