"""The bundled sequence checked as a user checks it: without fault, as stated, and its safety part under any two faults."""

from __future__ import annotations

from bench.own_process import Measured, Values, in_own_process
from bench.settings import FLAGSHIP, REPOSITORY, Settings
from bench.table import Row, Table, ratio

from seqcheck.check.check import check_sequence
from seqcheck.check.explore_groups import explore_groups
from seqcheck.check.group import groups_of
from seqcheck.check.options import CheckOptions
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.verdict import Verdict

LONGEST_CHECK_S = 900
LONGEST_QUICK_CHECK_S = 60
UNDER = {0: "no fault", None: "as stated", 2: "any two faults"}


def flagship_table(settings: Settings) -> Table:
    """All requirements, without fault and as stated, with one process and with two."""
    seconds = LONGEST_QUICK_CHECK_S if settings.is_quick else LONGEST_CHECK_S
    rows: list[Row] = []
    for faults in (0, None):
        alone_s = None
        for jobs in (1, 2):
            arguments: Values = {"faults": faults, "jobs": jobs, "seconds": seconds}
            found = in_own_process(
                "flagship.checked", arguments, limit_s=2 * seconds + 60, memory_mib=settings.memory_mib
            )
            alone_s = found.wall_s if jobs == 1 else alone_s
            rows.append(_check_row(faults, jobs, found, alone_s))
    return Table(
        name="flagship",
        title=f"All requirements of {FLAGSHIP}, {seconds:g} s at most each",
        columns=(
            "under", "processes", "wall s", "CPU s", "times faster", "classes", "transitions", "classes a CPU s",
            "peak MiB", "verdicts",
        ),
        rows=tuple(rows),
        notes=(
            "CPU s and classes a CPU s count the whole check: exploring, telling paths, replaying, judging, looking for traps.",
            "Undecided is what the limit cut short, or what is undecided in the file itself.",
            "Peak MiB with two processes: the parent and twice the larger child, pages that they share counted again.",
        ),
    )  # fmt: skip


def _check_row(faults: int | None, jobs: int, found: Measured, alone_s: float | None) -> Row:
    values = found.values
    classes = values.get("classes")
    return (
        UNDER[faults], jobs, found.wall_s, found.cpu_s, ratio(alone_s, found.wall_s), classes,
        values.get("transitions"), ratio(classes, found.cpu_s), _peak_mib(found, jobs),
        found.stopped or values["verdicts"],
    )  # fmt: skip


def _peak_mib(found: Measured, jobs: int) -> float | None:
    if found.peak_mib is None or found.child_peak_mib is None:
        return None
    return found.peak_mib + (jobs * found.child_peak_mib if jobs > 1 else 0)


def checked(faults: int | None, jobs: int, seconds: float) -> Values:
    """The whole check of the flagship."""
    outcome = check_sequence(_flagship(), CheckOptions(faults=faults, jobs=jobs, limits=Limits(seconds=seconds)))
    verdicts = [part.verdict for part in outcome.requirements]
    told = [f"{verdicts.count(kind)} {kind.value}" for kind in Verdict if kind in verdicts]
    return {"classes": outcome.classes, "transitions": outcome.transitions, "verdicts": ", ".join(told)}


# -- any two faults --------------------------------------------------------------------------------------------


def two_faults_table(settings: Settings) -> Table:
    """The safety requirements that must hold under any one fault, explored under any two."""
    seconds = min(settings.two_faults_s, LONGEST_QUICK_CHECK_S) if settings.is_quick else settings.two_faults_s
    arguments: Values = {"jobs": settings.jobs, "seconds": seconds}
    found = in_own_process(
        "flagship.explored_under_two", arguments, limit_s=2 * seconds + 60, memory_mib=settings.memory_mib
    )
    classes = found.values.get("classes")
    row = (
        UNDER[2], settings.jobs, found.values.get("requirements"), found.wall_s, found.cpu_s, classes,
        found.values.get("layers"), ratio(classes, found.cpu_s), _peak_mib(found, settings.jobs),
        found.stopped or found.values["stop"],
    )  # fmt: skip
    return Table(
        name="two_faults",
        title=f"Safety requirements of {FLAGSHIP} under any two faults, {seconds:g} s at most",
        columns=(
            "under", "processes", "requirements", "wall s", "CPU s", "classes", "layers", "classes a CPU s",
            "peak MiB", "stopped because",
        ),
        rows=(row,),
        notes=("Requirements: of severity safety, stated under any one fault. Explored only, not judged.",),
    )  # fmt: skip


def explored_under_two(jobs: int, seconds: float) -> Values:
    """The explorations of the flagship's safety requirements, with two faults each."""
    sequence = _flagship()
    wanted = tuple(part for part in sequence.requirements if _is_wanted(part))
    options = CheckOptions(faults=2, jobs=jobs, limits=Limits(seconds=seconds))
    explored = explore_groups(sequence, groups_of(sequence, wanted, 2), options)
    found = explored.explorations.values()
    stops = [part.stop for part in found if part.stop is not StopReason.FINISHED]
    return {
        "requirements": len(wanted),
        "classes": explored.classes,
        "layers": sum(part.layers for part in found),
        "stop": (stops[0] if stops else StopReason.FINISHED).value,
    }


def _is_wanted(requirement: Requirement) -> bool:
    under = requirement.under
    return requirement.severity == "safety" and under.count > 0 and not under.named and not under.controller


def _flagship() -> Sequence:
    return read_sequence(REPOSITORY / FLAGSHIP)
