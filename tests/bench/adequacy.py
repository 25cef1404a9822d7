"""Every change of the bundled splices tried, with any one fault, on two processes: the floor is 3 minutes for the flagship."""

from __future__ import annotations

from bench.own_process import Values, in_own_process
from bench.settings import FLAGSHIP, REPOSITORY, Settings
from bench.table import Row, Table, ratio

from seqcheck.adequacy.adequacy import AdequacyOptions, adequacy_of
from seqcheck.adequacy.try_change import Fate
from seqcheck.reader.read import read_sequence

FILES = (FLAGSHIP, "sequences/carton_line_flying_splice.yaml")
LONGEST_S = 3600
QUICK_EVERY = 20
JOBS = 2


def adequacy_table(settings: Settings) -> Table:
    """One row a file; `--quick` tries every twentieth change."""
    every = QUICK_EVERY if settings.is_quick else 1
    return Table(
        name="adequacy",
        title=f"Changes tried with any one fault, {JOBS} processes" + (f", every {every}th" if every > 1 else ""),
        columns=("file", "changes", "wall s", "CPU s", "CPU s a change", *(fate.value for fate in Fate), "score %"),
        rows=tuple(_row(file, every, settings) for file in FILES),
        notes=(
            "CPU s count both processes and the preparation: the sequence as it is, explored once.",
            "Score: noticed of those that are neither equivalent nor invalid nor undecided.",
        ),
    )


def _row(file: str, every: int, settings: Settings) -> Row:
    arguments: Values = {"file": file, "every": every}
    found = in_own_process("adequacy.tried", arguments, limit_s=LONGEST_S, memory_mib=settings.memory_mib)
    values = found.values
    counts = tuple(values.get(fate.value) for fate in Fate)
    changes = values.get("changes")
    return (file, changes, found.wall_s, found.cpu_s, ratio(found.cpu_s, changes), *counts, values.get("score"))


def tried(file: str, every: int) -> Values:
    """The adequacy of a bundled file."""
    adequacy = adequacy_of(read_sequence(REPOSITORY / file), AdequacyOptions(jobs=JOBS, every=every))
    score = None if adequacy.score is None else 100 * adequacy.score
    counts = {fate.value: adequacy.count(fate) for fate in Fate}
    return {"changes": len(adequacy.outcomes), "score": score, **counts}
