"""A finished run: what happened when, what the monitors noticed, and why it stopped."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.kernel.observer import Monitor
from seqcheck.kernel.schedule import Schedule
from seqcheck.simulate.measures import Noticed, violation
from seqcheck.simulate.motion import MotionRecord


class RunStop(Enum):
    """Why a run ended."""

    UNTIL = "the time to simulate has passed"
    QUIET = "nothing is pending and reads change nothing"
    EVENTS = "the limit on events was reached"
    INSTANT_LOOP = "devices move in a circle in one instant, so time would stop"
    TIME_LOCK = "two things that are due exclude each other, so time cannot go on"
    DISAGREEMENT = "the controller and the independent charts disagree"
    ENOUGH = "what was waited for has been noticed"
    REPLAYED = "every happening of the schedule was replayed"
    REFUSED = "the schedule cannot be replayed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A run.

    `missed` are planned acts and failures that were not possible at their time; `note` explains the stop.
    `motion` is what the machine did in numbers, if the run had physics; `disagreements` say where those left the sequence's ranges.
    """

    schedule: Schedule
    noticed: tuple[Noticed, ...]
    stop: RunStop
    end_us: int
    missed: tuple[str, ...] = ()
    note: str = ""
    motion: MotionRecord | None = None
    disagreements: tuple[str, ...] = ()

    @property
    def durations(self) -> tuple[Noticed, ...]:
        """The durations measured, in order."""
        return tuple(item for item in self.noticed if item.kind == "ended")

    @property
    def draws(self) -> tuple[Noticed, ...]:
        """The draws on the accumulator, in order; values are microseconds as in the draw expression."""
        return tuple(item for item in self.noticed if item.kind == "drawn")

    def violations(self, monitors: tuple[Monitor, ...]) -> tuple[tuple[Noticed, str], ...]:
        """What was noticed that `monitors` (those of the network, in order) forbid, and why."""
        judged = ((item, violation(item, monitors[item.monitor])) for item in self.noticed)
        return tuple((item, why) for item, why in judged if why is not None)
