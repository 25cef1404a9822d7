"""The acceptance test from the outcome of a check: facts of the fault and troubleshooting tables, written as checks."""

from __future__ import annotations

from seqcheck.check.outcome import Outcome
from seqcheck.explore.search import collector_paused
from seqcheck.report.build_fault_table import fault_table_of, horizon_us
from seqcheck.report.build_head import head_of
from seqcheck.report.build_troubleshooting import troubleshooting_of
from seqcheck.report.caution import CAUTION
from seqcheck.report.exploration import explore
from seqcheck.report.fault_checks import ROUTINE, fault_set_ups, faults_not_tested
from seqcheck.report.fault_findings import fault_findings, main_chart
from seqcheck.report.fault_table import FaultTable
from seqcheck.report.head import Head
from seqcheck.report.io_list import input_points, output_points
from seqcheck.report.protocol import Protocol
from seqcheck.report.requirement_checks import requirement_set_ups, watched_under_faults
from seqcheck.report.review_options import ReviewOptions
from seqcheck.report.troubleshooting import Troubleshooting
from seqcheck.report.ways import ways_of

AT_THE_MACHINE = (
    "Tests on the machine only by qualified people who know it, under the local lock-out practice.",
    "Bridging a safety contact takes protection away: only with what it protects from made safe otherwise, and logged.",
    "A check passed is one run; the proof is of the model. Where they part, stop and find out why.",
)


def protocol_of(outcome: Outcome, options: ReviewOptions) -> Protocol:
    """The acceptance test of the machine whose check came to `outcome`. Explores all runs with one failure."""
    with collector_paused():
        faults, trouble = _tables(outcome, options)
    return protocol_from(outcome, options, faults, trouble)


def protocol_from(outcome: Outcome, options: ReviewOptions, faults: FaultTable, trouble: Troubleshooting) -> Protocol:
    """The same from tables that are there already, as a review has them."""
    head, ways = head_of(outcome, options), ways_of(outcome.sequence)
    return Protocol(
        head=head,
        caution=(*AT_THE_MACHINE, *CAUTION),
        inputs=input_points(ways),
        outputs=output_points(outcome.sequence, ways),
        set_ups=(*requirement_set_ups(outcome, ways), *fault_set_ups(outcome.sequence, faults)),
        routine=ROUTINE,
        watched=watched_under_faults(outcome),
        not_tested=faults_not_tested(faults, tuple(_excluded(head))),
        alarms=trouble.alarms,
        safe_state=faults.safe_state,
        timing=faults.given,
    )


def _tables(outcome: Outcome, options: ReviewOptions) -> tuple[FaultTable, Troubleshooting]:
    exploration = explore(outcome.sequence, 1, options.limits)
    findings = fault_findings(exploration, main_chart(outcome.sequence), horizon_us(outcome.sequence))
    return fault_table_of(exploration, findings), troubleshooting_of(exploration, findings)


def _excluded(head: Head) -> list[tuple[str, str]]:
    return [
        (f"{device.name}.{name}", f"left out by the file: {device.because or 'no reason given'}")
        for device in head.scope.devices
        for name in device.excluded
    ]
