"""Check a sequence both ways: proofs first, then drawn runs, then the one held against the other."""

from __future__ import annotations

from seqcheck.check.agreement import Checked, compared
from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.language.sequence import Sequence
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS


def check_both(sequence: Sequence, options: CheckOptions, examples: int, seed_number: int) -> Checked:
    """Proofs, and `examples` drawn runs from `seed_number`; with none, or after an interruption, proofs alone.

    Raises UsageError as `check_sequence` does.
    """
    outcome = check_sequence(sequence, options)
    requirements = tuple(
        judged.requirement
        for judged in outcome.requirements
        if REQUIREMENT_KINDS[judged.requirement.kind].figures is None
    )
    if examples == 0 or outcome.stopped or not requirements:
        return Checked(outcome)
    from seqcheck.check.property_test import property_tests

    return compared(outcome, property_tests(sequence, requirements, options.faults, examples, seed_number))
