"""Numbers shown in units customary in the United States.

Outside: NIST Special Publication 811, appendix B.8 (factors from memory): 1 ft = 0.3048 m, 1 lbf = 4.448 222 N,
1 lbf/in = 175.126 8 N/m; and pint, a general-purpose unit library.
"""

from __future__ import annotations

from collections.abc import Iterator

import pint
import pytest

from seqcheck.quantities.unit_system import UnitSystem, in_shown_units, show_units, shown_text


@pytest.fixture
def us() -> Iterator[None]:
    show_units(UnitSystem.US)
    yield
    show_units(UnitSystem.METRIC)


def test_metric_is_as_the_trade_reads_it() -> None:
    assert (shown_text(3.0, "m/s", 1), shown_text(17.28, "m"), shown_text(60, "N")) == ("180.0 m/min", "17.280 m", "60.000 N")


@pytest.mark.usefixtures("us")
def test_factors_of_nist() -> None:
    assert in_shown_units(0.3048, "m") == (pytest.approx(1), "ft")
    assert in_shown_units(4.448222, "N") == (pytest.approx(1, rel=1e-6), "lbf")
    assert in_shown_units(175.1268, "N/m") == (pytest.approx(1, rel=1e-6), "lbf/in")


@pytest.mark.usefixtures("us")
@pytest.mark.parametrize("unit", ["m", "mm", "m/s", "N", "N/m", "kg"])
def test_pint_agrees(unit: str) -> None:
    value, shown = in_shown_units(12.5, unit)
    units = pint.UnitRegistry()
    assert units.Quantity(12.5, unit).to(shown.replace("lbf", "force_pound")).magnitude == pytest.approx(value, rel=1e-12)


@pytest.mark.usefixtures("us")
def test_times_and_counts_stay() -> None:
    assert in_shown_units(5, "us") == (5, "us")
