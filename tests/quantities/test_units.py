"""Quantities with units."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.quantities.units import Dimension, parse_quantity, parse_quantity_range


@pytest.mark.parametrize(
    ("text", "dimension", "number"),
    [
        ("0.45 mm", Dimension.LENGTH, 0.45),
        ("1.5 m", Dimension.LENGTH, 1500.0),
        ("12 in", Dimension.LENGTH, 304.8),  # exact: 25.4 mm, ISO 80000-3
        ("25 um", Dimension.LENGTH, 0.025),
        ("25 µm", Dimension.LENGTH, 0.025),
        ("240 m/min", Dimension.SPEED, 4.0),
        ("787 ft/min", Dimension.SPEED, 3.99796),  # exact: 0.3048 m
        ("63 in/s", Dimension.SPEED, 1.6002),  # check-values.md 2.3
        ("1 m/s2", Dimension.ACCELERATION, 1.0),
        ("60 N", Dimension.TENSION, 60.0),
        ("12 kN", Dimension.STIFFNESS, 12000.0),
        ("55 g/m2", Dimension.GRAMMAGE, 55.0),
        ("55 g/m^2", Dimension.GRAMMAGE, 55.0),
        ("55 g/m²", Dimension.GRAMMAGE, 55.0),
        ("0.055 kg/m2", Dimension.GRAMMAGE, 55.0),
        ("20 N m", Dimension.TORQUE, 20.0),
        ("20 N*m", Dimension.TORQUE, 20.0),
        ("20 N·m", Dimension.TORQUE, 20.0),
        ("300 kg", Dimension.MASS, 300.0),
        ("12 kg m2", Dimension.INERTIA, 12.0),
        ("15 %", Dimension.RATIO, 0.15),
        ("35%", Dimension.RATIO, 0.35),
        ("0.15", Dimension.RATIO, 0.15),
        ("0 mm", Dimension.LENGTH, 0.0),
    ],
)
def test_a_quantity_is_the_number_nearest_to_its_exact_value(
    text: str, dimension: Dimension, number: float
) -> None:
    assert parse_quantity(text, dimension) == number


def test_a_pound_force_per_inch_is_175_newtons_per_metre() -> None:
    """Source: check-values.md 2.3, 1 PLI = 175.127 N/m (printed to three decimals)."""
    assert parse_quantity("1 lbf/in", Dimension.TENSION_PER_WIDTH) == pytest.approx(175.127, abs=0.0005)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("450", Dimension.LENGTH),  # no unit
        ("mm", Dimension.LENGTH),  # no number
        ("450 mx", Dimension.LENGTH),  # no such unit
        ("5 kg", Dimension.LENGTH),  # another dimension
        ("7 lb in", Dimension.TORQUE),  # a pound is a mass
        ("5 rad", Dimension.RATIO),  # an angle
        ("5 degC", Dimension.LENGTH),
        ("-5 mm", Dimension.LENGTH),
        ("1e3 mm", Dimension.LENGTH),
        ("5 m**2/m", Dimension.LENGTH),
        ("5 m/(1)", Dimension.LENGTH),
        ("5 m^9", Dimension.LENGTH),
        ("5 __import__('os')", Dimension.LENGTH),
        ("9 Qm3 Qm3 Qm3 Qm3/qm3/qm3/qm3/qm2", Dimension.LENGTH),  # beyond a float
        ("5 if", Dimension.LENGTH),
        ("٣ mm", Dimension.LENGTH),
    ],
)
def test_what_does_not_measure_the_dimension_is_refused(text: str, dimension: Dimension) -> None:
    with pytest.raises(ValueError) as refusal:
        parse_quantity(text, dimension)
    assert str(refusal.value) == f"expected {dimension.label} such as '{dimension.example}', found {text!r}"


def test_a_long_text_is_refused_unread() -> None:
    with pytest.raises(ValueError, match="expected a length of at most 60 characters, found 61"):
        parse_quantity("1" * 58 + " mm", Dimension.LENGTH)


@pytest.mark.parametrize("dimension", Dimension)
def test_each_dimension_reads_its_own_example_and_unit(dimension: Dimension) -> None:
    assert parse_quantity(dimension.example, dimension) > 0
    assert parse_quantity(f"1 {dimension.unit}".strip(), dimension) == 1.0


@given(st.text(alphabet="0123456789. mkNglbfins/*^²%µ()_-", max_size=20), st.sampled_from(Dimension))
def test_any_text_is_read_or_refused_in_order(text: str, dimension: Dimension) -> None:
    try:
        assert parse_quantity(text, dimension) >= 0
    except ValueError as refusal:
        assert str(refusal).startswith("expected ")


def test_pint_is_loaded_only_for_the_first_unit() -> None:
    program = "import sys, seqcheck.quantities.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("17.2..17.4 m", (17200.0, 17400.0)),
        ("980 mm .. 1 m", (980.0, 1000.0)),
        ("1 ft", (304.8, 304.8)),
    ],
)
def test_a_range_of_lengths_shares_its_unit(text: str, ends: tuple[float, float]) -> None:
    assert parse_quantity_range(text, Dimension.LENGTH) == ends


@pytest.mark.parametrize("text", ["2..1 m", "1..", "..1 m", "1..2", "1 s..2 m", "1..2..3 m"])
def test_what_is_no_range_of_lengths_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        parse_quantity_range(text, Dimension.LENGTH)


def test_counts_per_length_in_feet() -> None:
    """304.8 counts a foot are 1000 a metre; the foot is 0.3048 m exactly (international foot)."""
    assert parse_quantity_range("304.8 counts/ft", Dimension.COUNTS_PER_LENGTH) == (1000.0, 1000.0)
