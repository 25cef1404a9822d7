"""The shortest way of a content to its level: it ends there, at rest, within its limits, and no shorter way exists."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.web.crossing import time_to_go_s
from seqcheck.web.level_control import approach
from seqcheck.web.span_response import tension_after_travel_n, travel_to_tension_m

numbers = st.integers(-3000, 3000).map(lambda number: number / 100)
positive = st.integers(1, 1000).map(lambda number: number / 100)


@given(missing_m=numbers, excess=numbers, most=positive, rate=positive)
def test_it_ends_at_the_level_at_rest(missing_m: float, excess: float, most: float, rate: float) -> None:
    moved_m, speed, fastest = 0.0, excess, abs(excess)
    for part in approach(missing_m=missing_m, excess_m_per_s=excess, most_m_per_s=most, rate_m_per_s2=rate):
        assert abs(part.acceleration_m_per_s2) in (0.0, rate)
        moved_m += part.duration_s * (speed + part.duration_s * part.acceleration_m_per_s2 / 2)
        speed += part.duration_s * part.acceleration_m_per_s2
        fastest = max(fastest, abs(speed))
    assert moved_m == pytest.approx(missing_m, abs=1e-7)
    assert speed == pytest.approx(0.0, abs=1e-7)
    assert fastest <= max(most, abs(excess)) + 1e-7


def test_a_fill_takes_distance_over_excess_and_one_ramp() -> None:
    """16 m at 0.45 m/s with 2.5 m/s2: 16 / 0.45 + 0.45 / 2.5 (area of a trapezoid; computed)."""
    parts = approach(missing_m=16.0, excess_m_per_s=0.0, most_m_per_s=0.45, rate_m_per_s2=2.5)
    assert sum(part.duration_s for part in parts) == pytest.approx(16 / 0.45 + 0.45 / 2.5, rel=1e-12)


@given(distance=numbers, speed=numbers, rate=numbers)
def test_the_first_time_solves_the_parabola(distance: float, speed: float, rate: float) -> None:
    time_s = time_to_go_s(distance, speed_m_per_s=speed, acceleration_m_per_s2=rate)
    roots = parabola_roots(rate / 2, speed, -distance)
    if time_s == math.inf:
        assert not [root for root in roots if root > 1e-9]
    else:
        assert speed * time_s + rate * time_s**2 / 2 == pytest.approx(distance, abs=1e-6)
        assert not [root for root in roots if 0 <= root < time_s - 1e-6]


def parabola_roots(second: float, first: float, constant: float) -> list[float]:
    if second == 0:
        return [] if first == 0 else [-constant / first]
    square = first**2 - 4 * second * constant
    return [] if square < 0 else [(-first + sign * math.sqrt(square)) / (2 * second) for sign in (-1, 1)]


def test_a_span_has_gone_63_percent_of_the_way_after_its_length() -> None:
    """1 - e^-1 at one time constant L / v, 95.0 % at three (webhandling.com/tension-0804 and definition, seen)."""
    at_one, at_three = (
        tension_after_travel_n(entry_tension_n=100.0, tension_n=0.0, travel_m=travel, span_length_m=5.0)
        for travel in (5.0, 15.0)
    )
    assert at_one == pytest.approx(63.2, abs=0.1)
    assert at_three == pytest.approx(95.0, abs=0.1)


@given(entry=positive, start=positive, limit=positive, span=positive)
def test_the_travel_to_a_tension_leads_to_it(entry: float, start: float, limit: float, span: float) -> None:
    travel_m = travel_to_tension_m(limit, entry_tension_n=entry, tension_n=start, span_length_m=span)
    if travel_m == math.inf:
        assert (start - limit) * (entry - limit) >= 0
    else:
        reached = tension_after_travel_n(
            entry_tension_n=entry, tension_n=start, travel_m=travel_m, span_length_m=span
        )
        assert reached == pytest.approx(limit, rel=1e-9)
