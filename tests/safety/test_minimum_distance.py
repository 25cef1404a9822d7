"""Minimum distances against worked examples in print and values computed from the cited formulas."""

import pytest

from seqcheck.safety.american_distance import (
    curtain_distance_in,
    penetration_mm,
    presence_sensing_distance_in,
    two_hand_trip_distance_in,
)
from seqcheck.safety.minimum_distance import (
    Edition,
    beams_distance,
    curtain_distance,
    guard_distance,
    parallel_distance,
    two_hand_distance,
)


@pytest.mark.parametrize(
    ("stopping_s", "resolution_mm", "distance_mm"),
    [
        (0.320, 14, 512.0),  # manual 450L-UM001D-EN-P, 2019, p. 72: 290 + 20 + 10 ms; 640, so again with 1600
        (0.320, 14, 512.0),  # operating instructions 8012624/10OM, 2018, p. 24: 290 + 30 ms, first pass 640
        (0.0257, 47, 891.12),  # SG4-30I manual p. 31
        (0.0257, 30, 179.4),  # SG4-30I manual p. 31
        (0.3, 14, 500.0),  # a printed example says 480 and forgets that beyond 500 mm it is at least 500 (ISO 13855:2010 6.2.3)
        (0.01, 14, 100.0),  # never less than 100 mm (ISO 13855:2010 6.2.3)
        (0.2, 90, 1520.0),  # coarser than 70 mm: 1600 T + 1200, computed
    ],
)
def test_light_curtain(stopping_s: float, resolution_mm: float, distance_mm: float) -> None:
    assert curtain_distance(stopping_s, resolution_mm).distance_mm == pytest.approx(distance_mm, abs=0.01)


def test_the_first_pass_of_a_printed_example_is_shown() -> None:
    """Operating instructions 8012624/10OM, 2018, p. 24: first pass 640 mm."""
    assert "= 640.0 mm" in curtain_distance(0.320, 14).working[0]


def test_a_curtain_by_the_edition_of_2024_says_that_its_text_was_not_read() -> None:
    assert "not read" in curtain_distance(0.1, 14, Edition.OF_2024).caveat
    assert curtain_distance(0.1, 14).caveat == ""


def test_two_hand_control_in_both_editions() -> None:
    """T 0.2 s: 570 and 870 mm, computed from 1600 T + 250 and + 550."""
    assert two_hand_distance(0.2).distance_mm == pytest.approx(570)
    assert two_hand_distance(0.2, Edition.OF_2024).distance_mm == pytest.approx(870)
    assert two_hand_distance(0.01, is_shrouded=True).distance_mm == 100


def test_beams() -> None:
    """T 0.3 s: 1330 mm, computed from 1600 T + 850; one beam + 1200."""
    assert beams_distance(0.3, 3).distance_mm == pytest.approx(1330)
    assert beams_distance(0.3, 1).distance_mm == pytest.approx(1680)


def test_parallel_approach_has_a_least_supplement() -> None:
    """1600 T + max(1200 - 0.4 H, 850): at the floor 1200, at 1 m 850 (the 850 from memory)."""
    assert parallel_distance(0.5, 0).distance_mm == pytest.approx(2000)
    assert parallel_distance(0.5, 1000).distance_mm == pytest.approx(1650)


def test_interlocked_guard_in_both_editions() -> None:
    """2010: 1600 (T - t1); 2024: 1600 T + reach; computed."""
    assert guard_distance(0.5, opening_s=0.1).distance_mm == pytest.approx(640)
    assert guard_distance(0.1, opening_s=0.2).distance_mm == 0
    assert guard_distance(0.5, Edition.OF_2024, reach_mm=120).distance_mm == pytest.approx(920)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: curtain_distance(-0.1, 14),
        lambda: curtain_distance(0.1, 0),
        lambda: beams_distance(0.1, 0),
        lambda: parallel_distance(0.1, 1001),
        lambda: two_hand_distance(-1),
        lambda: guard_distance(0.1, opening_s=-1),
        lambda: penetration_mm(64),
        lambda: two_hand_trip_distance_in(1, 0),
    ],
)
def test_numbers_out_of_range_are_refused(refused: object) -> None:
    assert callable(refused)
    with pytest.raises(ValueError, match=r"expected|must|formula"):
        refused()


@pytest.mark.parametrize(
    ("stopping_s", "distance_in"),
    [
        (0.055, 3.5),
        (0.063, 4),
        (0.079, 5),
        (0.095, 6),
        (0.126, 8),
        (0.158, 10),
        (0.317, 20),
        (0.388, 24.5),
        (0.412, 26),
    ],
)
def test_chart_of_safety_distances(stopping_s: float, distance_in: float) -> None:
    """29 CFR 1910.217(c)(3)(iii)(e), chart of the osha.gov e-tool, which cuts its times off after whole milliseconds."""
    assert presence_sensing_distance_in(stopping_s) <= distance_in < presence_sensing_distance_in(stopping_s + 0.001)


def test_two_hand_trip() -> None:
    """29 CFR 1910.217(c)(3)(viii)(c): one engaging point is 1.5 turns; 14 points and 1 s are 36.0 in."""
    assert two_hand_trip_distance_in(1, 14) == pytest.approx(36.0, abs=0.01)
    assert two_hand_trip_distance_in(1, 1) == pytest.approx(63 * 1.5)


def test_curtain_in_the_united_states() -> None:
    """ANSI B11.19-2003 Annex D, worked example of a safety catalogue: d 14 mm, 130 + 170 ms: Dpf 24.2 mm, Ds 19.9 in."""
    assert penetration_mm(14) == pytest.approx(24.2, abs=0.05)
    assert curtain_distance_in(0.3, 14) == pytest.approx(19.9, abs=0.05)
