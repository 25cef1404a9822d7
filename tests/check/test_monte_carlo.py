"""Monte Carlo: the same seed the same result, nothing beyond the proven worst, and what lies beyond is said."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from seqcheck.check.distribution import Proven, distribution
from seqcheck.check.monte_carlo import MonteCarlo, monte_carlo
from seqcheck.cli.distribution_text import distribution_blocks, histogram
from seqcheck.cli.plain_text import plain_text
from seqcheck.cli.simulating_runs import exit_code_of, monte_carlo_blocks
from seqcheck.reader.read import read_sequence

FLAGSHIP = Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml"


@pytest.fixture(scope="module")
def result() -> MonteCarlo:
    return monte_carlo(read_sequence(FLAGSHIP), runs=300)


def test_no_sample_lies_beyond_the_proven_worst(result: MonteCarlo) -> None:
    assert [part.quantity for part in result.distributions] == [
        "cycle time",
        "least accumulator content",
        "peak web tension",
    ]
    for part in result.distributions:
        assert part.proven.value is not None
        assert part.left is not None and part.left > 0
    assert result.beyond == () and result.disagreements == () and result.unfinished == 0
    assert result.imbalance is not None and result.imbalance <= 1e-9


def test_two_processes_find_what_one_finds(result: MonteCarlo) -> None:
    assert monte_carlo(read_sequence(FLAGSHIP), runs=300, jobs=2) == result


def test_another_seed_gives_other_values(result: MonteCarlo) -> None:
    other = monte_carlo(read_sequence(FLAGSHIP), runs=20, seed=1)
    assert other.distributions[0].mean != result.distributions[0].mean


def test_a_sample_beyond_the_proven_worst_is_said_loudly(result: MonteCarlo) -> None:
    content = result.distributions[1]
    assert content.is_least
    wrong = replace(content, proven=Proven(value=content.least + 0.01, is_exact=True, note="wrong on purpose"))
    spoiled = replace(result, distributions=(result.distributions[0], wrong))
    assert spoiled.beyond == (wrong,)
    assert exit_code_of(spoiled) == 1
    told = plain_text(monte_carlo_blocks(spoiled))
    assert "DEFECT: a sample of least accumulator content lies beyond what is proven." in told
    assert "lies BEYOND the proven worst" in plain_text(distribution_blocks(wrong))


@pytest.mark.parametrize(("proven", "place"), [(99.0, -1), (-1.0, 0)])
def test_the_proven_worst_stands_in_the_histogram_where_it_lies(proven: float, place: int) -> None:
    part = distribution("q", "s", [float(number) for number in range(50)], Proven(value=proven))
    assert part is not None
    assert "<- proven worst" in histogram(part)[place]


def test_percentiles_are_those_of_numpy() -> None:
    """numpy.percentile, method linear."""
    values = np.random.default_rng(3).normal(size=997).tolist()
    part = distribution("q", "s", values, Proven(value=None))
    assert part is not None
    for percent, value in part.percentiles:
        assert value == pytest.approx(float(np.percentile(values, percent)), rel=1e-12)
    assert sum(bin_.count for bin_ in part.bins) == 997
    assert part.left is None and not part.is_beyond
