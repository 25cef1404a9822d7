"""The fault table: each failure mode in each step in which it makes a difference."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Notice(Enum):
    """Whether somebody is told of a failure."""

    ALWAYS = "always"
    """In every run an alarm comes, at the latest after `detection_us`."""
    SOMETIMES = "sometimes"
    """In some runs no alarm comes within the time looked at: the machine waits or goes on."""
    ALREADY = "already"
    """No new alarm comes, but one was on already, so the machine is not taken for sound."""
    NEVER = "never"
    """No run raises an alarm within the time looked at: unnoticed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRow:
    """One failure mode, happening while the main chart is in one step, nobody acting afterwards.

    `effects`: what happens, in words, in order (steps entered, outputs that change). `alarms`: alarms that can come first.
    `detection_us`: worst time to the first alarm of the runs that raise one, None if none does. `safe_us`: worst time until no
    hazard
    moves and no hazardous output is on, None if some run never gets there (it runs on). `ends_in`: steps (`chart.step`) of the
    main chart
    in which it can come to rest or still is when the time looked at is over (`runs_on` says that it can go on).
    `web_drawn_m`: most web that can be drawn from the accumulator after the failure, by bound, None without an accumulator.
    `prompts`:
    what the operator is told where it ends. `other_steps`: steps of other charts in which it can happen then.
    `by_bound`: a time rests on a widened bound.
    """

    failure: str
    meaning: str
    step: str
    other_steps: tuple[str, ...]
    effects: tuple[str, ...]
    notice: Notice
    alarms: tuple[str, ...]
    detection_us: int | None
    safe_us: int | None
    ends_in: tuple[str, ...]
    runs_on: bool
    web_drawn_m: float | None
    prompts: tuple[str, ...]
    by_bound: bool
    is_complete: bool = True
    """False: a limit was reached, and the row says only what was found until then."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultTable:
    """All rows by failure and step, and `silent`: failures that make no difference in any run, with why that may be (latent).

    `given` says what people were taken to do; `horizon_us` is the longest time looked at after a failure; `safe_state` says in
    words what
    counts as safe.
    """

    rows: tuple[FaultRow, ...]
    silent: tuple[tuple[str, str], ...]
    main_chart: str
    given: str
    safe_state: str
    horizon_us: int

    def rows_of(self, failure: str) -> tuple[FaultRow, ...]:
        """The rows of one failure."""
        return tuple(row for row in self.rows if row.failure == failure)
