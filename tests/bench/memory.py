"""Memory that a class takes: the peak of a process that stops at N classes, less what it had before."""

from __future__ import annotations

from bench.own_process import Measured, Values, in_own_process
from bench.settings import FLAGSHIP, REPOSITORY, Settings
from bench.table import Row, Table

from seqcheck.check.group import Group, groups_of
from seqcheck.check.options import CheckOptions
from seqcheck.check.work import Worker
from seqcheck.explore.layers import LayeredSearch
from seqcheck.explore.limits import Limits, memory_used_mib
from seqcheck.explore.search import collector_paused
from seqcheck.explore.summary import Exploration
from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import NetworkOptions
from seqcheck.language.sequence import Hypothesis, Sequence
from seqcheck.reader.read import read_sequence

MILLION = 1_000_000
BYTES_IN_MIB = 1024 * 1024
LONGEST_S = 600
QUICK_CLASSES = 40_000
SEARCHES = {
    "whole": "one layer: no fault, no reduction, all classes kept",
    "layered": "as checked: state requirements, any two faults",
}


def memory_table(settings: Settings) -> Table:
    """Both searches, at a quarter of the classes and at all of them."""
    most = min(settings.classes, QUICK_CLASSES) if settings.is_quick else settings.classes
    rows = [row for search in SEARCHES for row in _rows(search, most, settings)]
    return Table(
        name="memory",
        title=f"Memory of explorations of {FLAGSHIP}",
        columns=("search", "classes", "layers", "MiB before", "peak MiB", "bytes a class", "MiB for a million", "note"),
        rows=tuple(rows),
        notes=(
            "'as checked' lets go of each layer once it is done; what stays are states, edges and tables that layers share.",
            "MiB for a million: what was there before, and a million times the bytes a class.",
        ),
    )


def _rows(search: str, most: int, settings: Settings) -> list[Row]:
    return [_row(search, _measured(search, classes, settings)) for classes in (most // 4, most)]


def _measured(search: str, classes: int, settings: Settings) -> Measured:
    arguments: Values = {"search": search, "most": classes}
    return in_own_process("memory.explored", arguments, limit_s=LONGEST_S, memory_mib=settings.memory_mib)


def _row(search: str, found: Measured) -> Row:
    classes, before, peak = (found.values.get(name) for name in ("classes", "before_mib", "peak_mib"))
    if classes is None or before is None or peak is None:
        return (SEARCHES[search], classes, None, before, peak, None, None, found.stopped)
    a_class = (peak - before) * BYTES_IN_MIB / classes
    million_mib = before + a_class * MILLION / BYTES_IN_MIB
    return (
        SEARCHES[search], classes, found.values["layers"], before, peak, a_class, million_mib, found.values["stop"],
    )  # fmt: skip


def explored(search: str, most: int) -> Values:
    """Explore until `most` classes; memory before and at the peak."""
    sequence = read_sequence(REPOSITORY / FLAGSHIP)
    limits = Limits(classes=most)
    before_mib = memory_used_mib()
    with collector_paused():
        found = _as_checked(sequence, limits) if search == "layered" else _one_layer(sequence, limits)
    return {
        "classes": found.classes,
        "layers": found.layers,
        "before_mib": before_mib,
        "peak_mib": memory_used_mib(),
        "stop": found.stop.value,
    }


def _one_layer(sequence: Sequence, limits: Limits) -> Exploration:
    network = build_core(sequence, NetworkOptions(late=False, at_read=False, choose=False))
    return LayeredSearch(network, (), Hypothesis(), limits=limits).base()[0]


def _as_checked(sequence: Sequence, limits: Limits) -> Exploration:
    return Worker(sequence, CheckOptions(limits=limits)).whole(_state_group(sequence))


def _state_group(sequence: Sequence) -> Group:
    """The exploration that serves most requirements, under any two faults."""
    wanted = tuple(part for part in sequence.requirements if part.under == Hypothesis(count=1))
    return max(groups_of(sequence, wanted, 2), key=lambda group: len(group.watching))
