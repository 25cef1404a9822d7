"""Which of several exit codes counts."""

from itertools import permutations

import pytest

from seqcheck.cli.exit_code import worst


@pytest.mark.parametrize(
    ("codes", "expected"), [((), 0), ((0, 0), 0), ((0, 3), 3), ((3, 1, 0), 1), ((1, 2, 3), 2), ((3, 2), 2)]
)
def test_bad_input_before_violated_before_undecided(codes: tuple[int, ...], expected: int) -> None:
    assert {worst(order) for order in permutations(codes)} == {expected}
