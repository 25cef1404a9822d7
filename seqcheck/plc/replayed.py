"""What came of holding a recording against a sequence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.plc.declared_range import Path
from seqcheck.quantities.time import TimeRange


class Side(Enum):
    """Who left the sequence; the value is the word for it."""

    CONTROLLER = "controller"
    MACHINE = "machine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """Something that the sequence does not allow, at `time_us` of the recording (row in `line`; 0: no row shows it).

    `steps` were active, as far as known. `because`: what explains it, a sentence each.
    """

    side: Side
    time_us: int
    line: int
    subject: str
    steps: tuple[str, ...]
    expected: str
    found: str
    because: tuple[str, ...] = ()


class Fit(Enum):
    """How measured times lie in a declared range."""

    INSIDE = "inside"
    TOO_NARROW = "range too narrow"
    TOO_WIDE = "range needlessly wide"
    FEW = "too few to judge width"
    NONE = "not seen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """All times of one motion (or of all that one field of the file governs), in microseconds.

    `shortest_us` and `longest_us` may be that short and that long at most; `certain`: between these they are for sure (least
    and most that the recording proves). `samples`: some of them, evenly picked. `path`: where the range stands in the file; None:
    the file does not give it itself.
    """

    subject: str
    within: TimeRange
    path: Path | None
    count: int
    shortest_us: int
    longest_us: int
    certain: tuple[int, int]
    mean_us: float
    samples: tuple[int, ...]
    fit: Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """How long a chart stayed in a step; `limit_us` is the step's watchdog, None if it has none."""

    step: str
    count: int
    shortest_us: int
    longest_us: int
    limit_us: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmChange:
    """An alarm that came or went."""

    time_us: int
    name: str
    is_raised: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """Web drawn from the accumulator between two times, in metres: at least and at most. `by_speeds`: from recorded speeds."""

    from_us: int
    until_us: int
    least_m: float
    most_m: float
    by_speeds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Replayed:
    """The whole result. Lists are cut at a bound; the counts are of all.

    `not_judged`: sentences about what the recording does not tell.
    """

    file: str
    from_us: int
    until_us: int
    moments: int
    is_sampled: bool
    jitter_us: int
    deviations: tuple[Deviation, ...]
    deviation_count: int
    measured: tuple[Measured, ...]
    stays: tuple[Stay, ...]
    alarms: tuple[AlarmChange, ...]
    alarm_count: int
    draws: tuple[Draw, ...]
    not_judged: tuple[str, ...]
    unused_columns: tuple[str, ...]
    is_uncertain: bool = False
    """The controller could not be followed throughout."""

    @property
    def first(self) -> Deviation | None:
        """The first deviation."""
        return self.deviations[0] if self.deviations else None
