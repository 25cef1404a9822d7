"""What a requirement kind must say: its fields in a file, and the monitors that watch for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.kernel.observer import Monitor
from seqcheck.language.field import Field
from seqcheck.language.sequence import Requirement, Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number worked out from the machine's data, against its limit; `is_least`: it must not be below the limit.

    `limit` None: it is told, and nothing is asked of it. `together`: the ends of what monitors measured (number of the monitor,
    whether its longest) that it is added up from; exact where one run has all of them.
    """

    quantity: str
    unit: str
    worst: float
    limit: float | None
    is_least: bool = False
    together: tuple[tuple[int, bool], ...] = ()

    @property
    def holds(self) -> bool:
        """Whether the limit is kept."""
        if self.limit is None:
            return True
        return self.worst >= self.limit if self.is_least else self.worst <= self.limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The shortest and the longest that a monitor measured, microseconds. `is_exact` False: a bound, not attained by a run."""

    shortest_us: int
    longest_us: int
    is_exact: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementKind:
    """A kind of requirement. Its first field names it in a file (`interlock: knife_fire`).

    `monitors` turns a requirement into what the engines watch; raises SequenceFileError where the sequence lacks the data
    that the kind needs. `judges`: "signals", "machine", or decided from the expressions ("mixed").
    """

    name: str
    meaning: str
    fields: tuple[Field, ...]
    monitors: Callable[[Requirement, Sequence], tuple[Monitor, ...]]
    needs_given: bool = False
    timed_from_fault: bool = False
    figures: Callable[[Requirement, Sequence], tuple[Figure, ...]] | None = None
    """For a kind that is decided by figures rather than by an exploration."""
    measured: Callable[[Requirement, Sequence, tuple[Spread | None, ...]], tuple[Figure, ...]] | None = None
    """For a kind whose durations mean something else, such as a length of web: from what each monitor measured (None: nothing)
    to figures against their limits."""
    rests_on_figures: bool = False
    """Whether what it `measured` must keep its limits too: durations of different runs added up, where a broken one is no proof."""
    on_machine: bool = False
    """Whether it is judged on what the machine does even where no condition of it names a fact."""
