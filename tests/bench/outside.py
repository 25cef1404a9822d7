"""The same work by engines that share no search with seqcheck: spin, and brute force in ticks.

All get the same widened copy of a file and reach every state of it; no requirement is watched. Engines in ticks get it at the
tick it was widened to and at a fifth of that; dense time has no tick. Each case has a process of its own and a time limit.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from bench.own_process import Measured, Values, in_own_process
from bench.settings import Settings
from bench.subjects import FINE_TICK_US, SUBJECTS, TICK_US
from bench.table import Row, Table, ratio

QUICK_LIMIT_S = 10
QUICK_SUBJECTS = 2
DENSE = ("seqcheck, reductions off", "seqcheck, reductions on")
IN_TICKS = ("spin", "ticks")
SEARCHING = "seconds of searching"
FUNCTIONS = {"spin": "by_spin.searched", "ticks": "by_ticks.searched"}


@dataclass(frozen=True, slots=True)
class Case:
    """Which engine, on which subject, with how many faults, at which tick (None: dense time)."""

    engine: str
    subject: str
    faults: int
    tick_us: int | None = None


@dataclass(slots=True)
class Cases:
    """Cases and what was measured. Mutable; owned by one run of this part.

    `beaten`: engine, faults and tick for which some subject was too much; larger ones are not tried then.
    """

    settings: Settings
    found: dict[Case, Measured] = field(default_factory=dict)
    beaten: dict[tuple[str, int, int | None], str] = field(default_factory=dict)

    @property
    def limit_s(self) -> float:
        """Seconds for each case."""
        return min(self.settings.limit_s, QUICK_LIMIT_S) if self.settings.is_quick else self.settings.limit_s

    def measure(self, case: Case) -> None:
        """Measure one case, or say why not."""
        beaten_by = self.beaten.get((case.engine, case.faults, case.tick_us))
        if beaten_by is not None and not self.settings.tries_all:
            self.found[case] = Measured(stopped=f"not tried: {beaten_by} was too much")
            return
        found = self.found[case] = in_own_process(
            FUNCTIONS.get(case.engine, "by_classes.explored"),
            self._arguments(case),
            limit_s=self.limit_s,
            memory_mib=self.settings.memory_mib,
        )
        if found.stopped:
            self.beaten.setdefault((case.engine, case.faults, case.tick_us), case.subject)

    def _arguments(self, case: Case) -> Values:
        arguments: Values = {"subject": case.subject, "faults": case.faults, "limit_s": self.limit_s}
        if case.engine in DENSE:
            return {**arguments, "is_reduced": case.engine == DENSE[1]}
        arguments["tick_us"] = case.tick_us
        # pan is to say that its memory is used up before the system refuses more.
        return {**arguments, "memory_mib": self.settings.memory_mib * 3 // 4} if case.engine == "spin" else arguments

    def value(self, case: Case, what: str) -> float | None:
        """States, seconds, or seconds of searching alone, of a case that went to its end."""
        measured = self.found.get(case)
        if measured is None or measured.stopped:
            return None
        if what == "states":
            return float(measured.values["count"])
        seconds: list[float] = list(measured.values["seconds"].values())
        return seconds[-1] if what == SEARCHING else sum(seconds)


def outside_tables(settings: Settings) -> tuple[Table, ...]:
    """Every case, and how states and seconds grow with a fault and with a finer tick."""
    cases = Cases(settings)
    subjects = list(SUBJECTS)[:QUICK_SUBJECTS] if settings.is_quick else list(SUBJECTS)
    for subject in subjects:
        for faults in (0, 1):
            for case in _row_cases(subject, faults):
                cases.measure(case)
    return (
        _comparison(cases, subjects),
        *(_growth(cases, subjects, what) for what in ("states", SEARCHING)),
    )


def _row_cases(subject: str, faults: int) -> tuple[Case, ...]:
    dense = [Case(engine, subject, faults) for engine in DENSE]
    ticks = [Case(engine, subject, faults, tick) for engine in IN_TICKS for tick in (TICK_US, FINE_TICK_US)]
    return (*dense, *ticks)


# -- every case ------------------------------------------------------------------------------------------------


def _comparison(cases: Cases, subjects: list[str]) -> Table:
    rows = [
        _row(cases, case) for subject in subjects for faults in (0, 1) for case in _row_cases(subject, faults)
    ]
    return Table(
        name="outside",
        title=f"Every state of the same widened copy, {cases.limit_s:g} s and {cases.settings.memory_mib} MiB at most each",
        columns=(
            "subject", "faults", "engine", "tick ms", "states", "network states", "seconds", "of which", "peak MiB",
            "states / seqcheck off", "s / seqcheck off", "s / seqcheck on", "stopped",
        ),
        rows=tuple(rows),
        notes=(
            "States: classes of seqcheck; of the others network state and clocks. A stopped engine's are those it had got to.",
            "Network states: the same for all engines (tests/reference compares the sets), but fewer with reductions on.",
            "Seconds: from the copy in memory to the end of the search; spin's include generating and compiling.",
            "Some 590 MiB of spin's peak are the stack and hash table that it sets out with.",
        ),
    )  # fmt: skip


def _row(cases: Cases, case: Case) -> Row:
    found = cases.found[case]
    seconds: Values = found.values.get("seconds", {})
    total_s = sum(seconds.values()) if seconds else None
    off, on = (Case(engine, case.subject, case.faults) for engine in DENSE)
    return (
        case.subject, case.faults, case.engine, None if case.tick_us is None else case.tick_us // 1_000,
        found.values.get("count"), found.values.get("network_states"), total_s, _parts(seconds), _peak_mib(found),
        ratio(cases.value(case, "states"), cases.value(off, "states")),
        ratio(cases.value(case, "seconds"), cases.value(off, "seconds")),
        ratio(cases.value(case, "seconds"), cases.value(on, "seconds")),
        found.stopped,
    )  # fmt: skip


def _parts(seconds: Values) -> str:
    return ", ".join(f"{part} {value:.2g}" for part, value in seconds.items()) if len(seconds) > 1 else ""


def _peak_mib(found: Measured) -> float | None:
    if found.peak_mib is None or found.child_peak_mib is None:
        return None
    return max(found.peak_mib, found.child_peak_mib)


# -- growth ----------------------------------------------------------------------------------------------------


def _growth(cases: Cases, subjects: list[str], what: str) -> Table:
    every = [_growth_row(cases, subject, engine, what) for subject in subjects for engine in (*DENSE, *IN_TICKS)]
    rows = [row for row in every if any(value is not None for value in row[2:])]
    return Table(
        name=f"growth of {what}",
        title=f"How many times the {what}",
        columns=(
            "subject", "engine", "one fault / none", "the same at fine tick", "fine tick / tick", "the same with one fault",
        ),
        rows=tuple(rows),
        notes=(
            f"Tick {TICK_US // 1_000} ms, fine tick {FINE_TICK_US // 1_000} ms; dense time has none.",
            "'-': one of the two did not end within its limits.",
        ),
    )  # fmt: skip


def _growth_row(cases: Cases, subject: str, engine: str, what: str) -> Row:
    def value(faults: int, tick_us: int) -> float | None:
        return cases.value(Case(engine, subject, faults, None if engine in DENSE else tick_us), what)

    fault = [ratio(value(1, tick_us), value(0, tick_us)) for tick_us in (TICK_US, FINE_TICK_US)]
    if engine in DENSE:
        return (subject, engine, fault[0], None, None, None)
    finer = [ratio(value(faults, FINE_TICK_US), value(faults, TICK_US)) for faults in (0, 1)]
    return (subject, engine, *fault, *finer)
