"""Hypothesis strategies for property tests of a sequence: who does what and when, what fails, and how the times fall.

Whoever imports this module needs Hypothesis, which takes long to load; so nothing imports it unless it is asked to draw.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from hypothesis import strategies as st

from seqcheck.kernel.start import Start
from seqcheck.simulate.drawn_run import Allowed, Enough, drawn_run
from seqcheck.simulate.run import Run
from seqcheck.simulate.stage import Stage

_FIRST = 7 * 10**12 + 17
"""Numbers are drawn from here on. Hypothesis mixes constants of whatever modules are loaded into what it draws, and there are
none here: so the same seed gives the same runs, whatever else is loaded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One way to draw: what may happen, and what ends a run. Of several settings the simplest comes first."""

    allowed: Allowed
    enough: Enough


@dataclass(frozen=True, slots=True)
class DrawnRun:
    """A run, and which setting it was drawn for."""

    setting: int
    run: Run

    def __repr__(self) -> str:
        """Short: a run is told as a table, by whoever has the names."""
        return f"a run of {len(self.run.schedule.happenings)} events"

    def _repr_pretty_(self, printer: object, cycle: bool) -> None:
        """The same where Hypothesis would print every field."""
        del cycle
        printer.text(repr(self))  # type: ignore[attr-defined]


@cache
def _below(count: int) -> st.SearchStrategy[int]:
    return st.integers(_FIRST, _FIRST + count - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What runs are drawn from. `begun` is called before each run, `seen` with each number drawn and what it is below."""

    stage: Stage
    starts: tuple[Start, ...]
    settings: tuple[Setting, ...]
    begun: Callable[[], None] = lambda: None
    seen: Callable[[int, int], None] = lambda _number, _count: None

    def __repr__(self) -> str:
        """Short, since Hypothesis shows it."""
        return "a sequence"


@st.composite
def drawn_runs(draw: st.DrawFn, drawing: Drawing) -> DrawnRun:
    """Runs on a stage, in one of the settings and from one of the starts; the simplest setting first."""

    def numbers(count: int) -> int:
        number = draw(_below(count)) - _FIRST if count > 1 else 0
        drawing.seen(number, count)
        return number

    drawing.begun()
    setting = numbers(len(drawing.settings))
    start = drawing.starts[numbers(len(drawing.starts))]
    wanted = drawing.settings[setting]
    return DrawnRun(setting, drawn_run(drawing.stage, start, wanted.allowed, numbers, wanted.enough))
