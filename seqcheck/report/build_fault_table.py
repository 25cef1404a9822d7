"""The fault table from what was found: rows, failures that make no difference, and what was assumed."""

from __future__ import annotations

from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.report.exploration import Exploration
from seqcheck.report.fault_findings import FaultFindings
from seqcheck.report.fault_table import FaultTable
from seqcheck.report.subjects import subjects_of

LEAST_HORIZON_US = 10_000_000
"""The least time looked at after a failure: 10 s."""

GIVEN = (
    "nobody acts after the failure; pushbuttons are let go and selectors are in their first position. In a step that can be "
    "with all safeguards in place and all energy on, only then. Times run from the moment at which the failure makes a "
    "difference; for a contact, from the read before the one that it changes"
)


def horizon_us(sequence: Sequence) -> int:
    """The longest time looked at after a failure: twice the longest `within`, and 10 s at least."""
    limits = [step.watchdog.limit_us for chart in sequence.charts for step in chart.steps if step.watchdog]
    return max(LEAST_HORIZON_US, 2 * max(limits, default=0))


def fault_table_of(exploration: Exploration, findings: FaultFindings) -> FaultTable:
    """The table."""
    order = {mode.name: mode.index for mode in exploration.network.failures}
    steps = {f"{_main(exploration, findings)}.{name}": number for number, name in enumerate(_steps(exploration, findings))}
    rows = sorted(findings.rows, key=lambda row: (order[row.failure], steps[row.step]))
    return FaultTable(
        rows=tuple(rows),
        silent=_silent(exploration.network, {row.failure for row in rows}),
        main_chart=_main(exploration, findings),
        given=GIVEN,
        safe_state=_safe_state(exploration.sequence),
        horizon_us=findings.horizon_us,
    )


def _main(exploration: Exploration, findings: FaultFindings) -> str:
    return exploration.network.controller.charts[findings.main].name


def _steps(exploration: Exploration, findings: FaultFindings) -> tuple[str, ...]:
    return tuple(exploration.network.controller.charts[findings.main].step_names)


def _silent(network: Network, shown: set[str]) -> tuple[tuple[str, str], ...]:
    return tuple((mode.name, f"{mode.text}: {_why(network, mode)}") for mode in network.failures if mode.name not in shown)


def _why(network: Network, mode: FailureMode) -> str:
    if mode.contact & network.chosen_mask:
        return "people can do the same by hand at any moment, so it adds nothing to what every run already allows"
    return "in no run with this failure alone does anything go otherwise (latent)"


def _safe_state(sequence: Sequence) -> str:
    names = [part.name for part in subjects_of(sequence) if not part.name.endswith(".is_on")]
    return "none of these is on or moves: " + ", ".join(names) if names else "the file declares no hazard"
