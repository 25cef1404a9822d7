"""Proofs and drawn runs of generated sequences: neither ever contradicts the other.

The sequences are those that brute force in ticks is compared on (`tests/reference/small_networks.py`), with requirements about
steps and the first signal. How many: the variable SEQCHECK_GENERATED, 40 unless it says otherwise.
"""

from __future__ import annotations

import os
import re
from collections import Counter

from hypothesis import HealthCheck, given, reject, settings
from reference.small_networks import sequence_texts

from seqcheck.check.agreement import compared
from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.property_test import property_tests
from seqcheck.errors import SequenceFileError
from seqcheck.explore.limits import Limits
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text

GENERATED = int(os.environ.get("SEQCHECK_GENERATED", "40"))
RUNS = 6
MOST_CLASSES = 300


def asked(text: str) -> Sequence:
    """The sequence of a text with requirements added."""
    found = re.search(r"\w+_is_on|\w+_out\b", text)
    assert found is not None, "the first device of a generated sequence gives a signal"
    requirements = (
        "requirements:\n"
        f"  - {{id: N1, never: x.x1.X AND {found[0]}}}\n"
        f"  - {{id: N2, when: x.x1.X, then: x.x0.X, within: 60 ms, under: any one fault}}\n"
        "  - {id: N3, from: x.x0, reaches: [x.x1], within: 50 ms, given: anything}\n"
    )
    try:
        return read_sequence_text(text + requirements, "small.yaml")
    except SequenceFileError:
        reject()


def test_proof_and_drawn_runs_agree_on_generated_sequences() -> None:
    seen: Counter[str] = Counter()

    @settings(
        max_examples=GENERATED,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(text=sequence_texts(most_devices=2, most_steps=3, most_charts=1))
    def agree(text: str) -> None:
        sequence = asked(text)
        options = CheckOptions(limits=Limits(classes=MOST_CLASSES), traps=False)
        tests = property_tests(sequence, sequence.requirements, None, RUNS, 0, most_shrinking=1)
        checked = compared(check_sequence(sequence, options), tests)
        assert checked.tests is not None
        assert checked.tests.disagreements == (), text
        for judged in checked.outcome.requirements:
            tested = checked.tests.of(judged.requirement.id)
            is_refuted = tested is not None and tested.refutation is not None
            seen[judged.verdict.value + (", refuted by a drawn run" if is_refuted else "")] += 1
        seen["sequences"] += 1

    agree()
    print(dict(seen))
    # Else the comparison would be of nothing with nothing.
    assert seen["sequences"] >= GENERATED // 2
    assert seen["violated, refuted by a drawn run"] > GENERATED // 10
    assert seen["holds"] > GENERATED // 10
