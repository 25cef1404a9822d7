"""What a requirement watches, in the one form that both engines run: monitors that read the machine and never push it.

 - A `StateMonitor` looks at every settled state: it is violated where `bad` holds.
 - A `ReadMonitor` looks at every read that newly computes an output: it is violated if `needs` does not hold then.
 - A `StopwatchMonitor` measures from `start` to `end`: an *age*. While it runs, an event of length `length_us` counts down
   beside the machine's own pending events, so that worst and best durations are exact over dense time.
 - A `PrecedenceMonitor` is violated if `second` comes before any `first` since `since`.
 - A `DrawMonitor` holds the four moments of a draw on the accumulator.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.language.expression import Expression


@dataclass(frozen=True, slots=True)
class Holds:
    """A moment: the condition holds in a settled state (and did not hold just before, or the machine starts so)."""

    condition: Expression


@dataclass(frozen=True, slots=True)
class Enters:
    """A moment: the chart enters the step (also by a transition to itself)."""

    chart: str
    step: str


@dataclass(frozen=True, slots=True)
class Fails:
    """A moment: the failure (`device.failure`) is there and was not just before."""

    failure: str


Moment = Holds | Enters | Fails


@dataclass(frozen=True, slots=True, kw_only=True)
class StateMonitor:
    """Violated in a settled state where `bad` holds. `parts`: conditions that must each be seen, else the verdict is vacuous."""

    requirement: str
    bad: Expression
    parts: tuple[Expression, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadMonitor:
    """Violated by a read that turns `output` on while `needs` does not hold in the inputs it read."""

    requirement: str
    output: str
    needs: Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class StopwatchMonitor:
    """Measures from any of `start` to any of `end`, abandoned at any of `cancel`.

    While it runs a further start is ignored: the oldest counts. `at_most_us` None: only measured up to `length_us`.
    `at_least_us`: an end sooner is a violation.
    """

    requirement: str
    start: tuple[Moment, ...]
    end: tuple[Moment, ...]
    cancel: tuple[Moment, ...] = ()
    at_most_us: int | None
    at_least_us: int = 0
    length_us: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PrecedenceMonitor:
    """Violated if `second` comes before `first` has come since the last `since` (or since the start)."""

    requirement: str
    first: tuple[Moment, ...]
    second: tuple[Moment, ...]
    since: tuple[Moment, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawMonitor:
    """Holds the moments of a draw: unwind leaves line speed, stands, restarts, is back; line slows, stands.

    `budget_us` is the stored web over the line speed: filled content less reserve, in microseconds at line speed;
    `budget_running_us` the same for the running level, which is what counts when the accumulator was not truly full.
    """

    requirement: str
    unwind: str
    line: str
    accumulator: str
    budget_us: int
    budget_running_us: int
    length_us: int
    takes_up: bool = False
    """A rewind in place of the unwind: room is used up instead of web, and the best level is `emptied`."""


Monitor = StateMonitor | ReadMonitor | StopwatchMonitor | PrecedenceMonitor | DrawMonitor
