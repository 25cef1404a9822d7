"""The whole review of one sequence as data; the page, the JSON and the terminal write it down.

`review_of(sequence, outcome, options)` in build_review.py makes it.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Outcome
from seqcheck.language.sequence import Sequence
from seqcheck.report.cause_effect import CauseEffect
from seqcheck.report.fault_table import FaultTable
from seqcheck.report.head import Head
from seqcheck.report.interlock_matrix import InterlockMatrix
from seqcheck.report.safety_figures import SafetyFigures
from seqcheck.report.troubleshooting import Troubleshooting


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """Everything a reviewer is shown. Verdicts, witnesses and their schedules are in `outcome`.

    A witness is called by the id of its requirement (`outcome.requirements[n].requirement.id`).
    """

    outcome: Outcome
    head: Head
    matrix: InterlockMatrix
    faults: FaultTable
    troubleshooting: Troubleshooting
    cause_effect: CauseEffect
    safety: SafetyFigures

    @property
    def sequence(self) -> Sequence:
        """The sequence that was reviewed."""
        return self.outcome.sequence
