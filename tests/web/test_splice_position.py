"""Splice position: counts against a web of labelled metres that is fed, stored and taken piece by piece."""

import math
from collections import deque

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.web import splice_position
from seqcheck.web.splice_position import (
    CountWindow,
    Encoder,
    LengthOfTime,
    LengthRange,
    Section,
    SplicePath,
    Way,
)

PIECES = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=60)


def passed_until_splice(path_pieces, content_pieces, feed):
    """Push and pop whole pieces of web through a queue until the splice comes out at the gate.

    Returns pieces taken and fed, and the content then, or None if the feed ends first or the queue would run
    dry.
    """
    web = deque(["old"] * (path_pieces + content_pieces))
    fed = taken = 0
    for push, pop in feed:
        for _ in range(push):
            web.append("splice" if fed == 0 else "new")
            fed += 1
        for _ in range(pop):
            if len(web) <= path_pieces:
                return None
            taken += 1
            if web.popleft() == "splice":
                return taken, fed, len(web) - path_pieces
    return None


@given(st.integers(0, 10), st.integers(0, 20), PIECES)
def test_both_encoders_place_the_splice_where_a_queue_of_pieces_does(path, content, feed):
    """The splice is the first piece fed, so it lies between P + C(0) and one more, by either encoder."""
    outcome = passed_until_splice(path, content, feed)
    if outcome is None:
        return
    taken, fed, content_at_arrival = outcome
    assert taken - 1 == path + content  # G = P + C(0): all old web is out, and the splice is next
    # F = P + C(arrival); the splice itself is fed and out, so it counts on neither side.
    assert fed - 1 == path + content_at_arrival
    left_m = splice_position.splice_to_gate_m(
        path_m=float(path), content_at_splice_m=float(content), passed_gate_m=float(taken - 1)
    )
    assert left_m == 0.0


def test_the_queue_does_let_splices_through():
    """Guards the test above against passing on feeds that never bring the splice out."""
    assert passed_until_splice(2, 3, [(1, 1)] * 10) == (6, 6, 3)
    assert passed_until_splice(0, 5, [(0, 2), (0, 2), (4, 2)]) == (6, 4, 3)


def test_window_of_exactly_known_lengths_is_one_count():
    path = SplicePath(fixed=LengthRange(12.0, 12.0), content=LengthRange(4.0, 4.0))
    assert splice_position.reject_window(path, LengthRange(0.5, 0.5)) == CountWindow(32, 32)


def test_window_in_numbers():
    """By hand: least 12 + 3 - 0.1 - 0.4 = 14.5 m at 0.5 m: 29; most 17.8 m at 0.25 m: 71.2."""
    path = SplicePath(
        fixed=LengthRange(12.0, 12.5),
        content=LengthRange(3.0, 5.0),
        ahead_m=0.1,
        behind_m=0.3,
        start_late_m=0.4,
    )
    assert splice_position.reject_window(path, LengthRange(0.25, 0.5)) == CountWindow(29, 72)


@st.composite
def true_splices(draw):
    """A path known within bounds, a scale known within bounds, and the true values inside them."""
    fixed = draw(st.floats(0.0, 30.0))
    content = draw(st.floats(0.0, 40.0))
    slack = st.floats(0.0, 2.0)
    late = draw(st.floats(0.0, 3.0))
    scale = draw(st.floats(1e-3, 0.1))
    path = SplicePath(
        fixed=LengthRange(fixed - draw(slack), fixed + draw(slack)),
        content=LengthRange(content - draw(slack), content + draw(slack)),
        ahead_m=draw(slack),
        behind_m=draw(slack),
        start_late_m=late,
    )
    scales = LengthRange(scale * (1 - draw(st.floats(0.0, 0.02))), scale * (1 + draw(st.floats(0.0, 0.02))))
    return path, scales, fixed + content, scale, draw(st.floats(0.0, 1.0)) * late


@given(true_splices())
def test_every_true_count_of_spoilt_web_lies_in_the_window(case):
    path, scales, way_m, scale_m, missed_m = case
    window = splice_position.reject_window(path, scales)
    first = math.floor((way_m - path.ahead_m - missed_m) / scale_m + 1e-9)
    last = math.floor((way_m + path.behind_m - missed_m) / scale_m - 1e-9)
    assert window.earliest <= first
    assert last <= window.latest


def test_gate_command_leaves_the_gate_time_to_open():
    """By hand: 4 m/s for 0.3 s is 1.2 m, at least 0.25 m a count: 4.8, so 5 counts before the earliest."""
    count = splice_position.latest_gate_command_count(
        CountWindow(29, 72), speed_m_per_s=4.0, gate_time_s=0.3, length_per_count=LengthRange(0.25, 0.5)
    )
    assert count == 24


@pytest.mark.parametrize(
    ("fed_m", "section"),
    [
        (1.9, Section.BEFORE_ACCUMULATOR),
        (2.0, Section.IN_ACCUMULATOR),
        (6.9, Section.IN_ACCUMULATOR),
        (7.0, Section.AFTER_ACCUMULATOR),
        (9.9, Section.AFTER_ACCUMULATOR),
        (10.0, Section.PAST_GATE),
    ],
)
def test_section_of_the_splice(fed_m, section):
    """Path of 2 m, 5 m stored, 3 m: a border counts as the later part."""
    assert section is splice_position.section_of_splice(
        path_before_m=2.0, path_after_m=3.0, content_now_m=5.0, fed_m=fed_m
    )


def test_registered_stop_spreads_with_delay_and_stopping_distance():
    """By hand: 0.5 m/s, 10 to 30 ms, 80 to 90 mm: 85 to 105 mm after the mark."""
    rest = splice_position.stop_position_m(
        speed_m_per_s=0.5,
        least_delay_s=0.010,
        most_delay_s=0.030,
        stopping_distance=LengthRange(0.080, 0.090),
    )
    assert (rest.least_m, rest.most_m) == pytest.approx((0.085, 0.105))


def test_ranges_the_wrong_way_round_and_scales_of_nothing_are_refused():
    with pytest.raises(ValueError, match=r"least 2.0 m is more than most 1.0 m"):
        LengthRange(2.0, 1.0)
    path = SplicePath(fixed=LengthRange(1.0, 1.0), content=LengthRange(1.0, 1.0))
    with pytest.raises(ValueError, match="length_per_count must be positive"):
        splice_position.reject_window(path, LengthRange(0.0, 1.0))
    with pytest.raises(ValueError, match="length_per_count must be positive"):
        splice_position.latest_gate_command_count(
            CountWindow(1, 2), speed_m_per_s=1.0, gate_time_s=1.0, length_per_count=LengthRange(-1.0, 1.0)
        )


def test_a_gate_too_near_gives_a_negative_count_rounded_outwards():
    """By hand: 1 + 0 - 2 = -1 m, most counts at 0.25 m a count: -4; latest 2 m at 0.25 m: 8."""
    path = SplicePath(fixed=LengthRange(1.0, 1.0), content=LengthRange(0.0, 1.0), start_late_m=2.0)
    assert splice_position.reject_window(path, LengthRange(0.25, 0.5)) == CountWindow(-4, 8)


LENGTHS = st.floats(0.0, 20.0)


@given(LENGTHS, st.floats(0.1, 10.0), st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_content_while_standing_is_the_area_between_the_two_speeds(content, speed, ramp, dwell, more_ramp, more_dwell):
    """Source: triangle under the linear stop, and the rectangle after it, worked as an area."""
    rest = splice_position.content_while_standing_m(
        content_at_stop=LengthRange(content, content),
        line_speed_m_per_s=speed,
        since_stop_s=LengthOfTime(ramp + dwell, ramp + dwell + more_ramp + more_dwell),
        since_standstill_s=LengthOfTime(dwell, dwell + more_dwell),
    )
    assert rest.most_m == pytest.approx(max(0.0, content - speed * ramp / 2 - speed * dwell), abs=1e-9)
    longest = speed * (ramp + more_ramp) / 2 + speed * (dwell + more_dwell)
    assert rest.least_m == pytest.approx(max(0.0, content - longest), abs=1e-9)


def test_passages_lie_where_numeric_integration_puts_them():
    """Speeds of unwind (restart after a stop, then overspeed) and line integrated by scipy's solve_ivp, with events at each place.

    Source: dF/dt = unwind speed, dG/dt = line speed, C = C(0) + F - G; entry F = 2, exit F = 2 + C, gate F = 2 + C + 7.
    """
    solve_ivp = pytest.importorskip("scipy.integrate").solve_ivp
    times_s, unwind_m_per_s = [0.0, 0.4, 1.6, 9.0, 9.5, 60.0], [0.0, 0.0, 3.0, 3.0, 3.45, 3.45]

    def slope(time_s, _fed_and_taken):
        return [np.interp(time_s, times_s, unwind_m_per_s), 3.0]

    def content_m(state):
        return 6.0 + state[0] - state[1]

    places = (lambda _t, y: y[0] - 2.0, lambda _t, y: y[0] - 2.0 - content_m(y), lambda _t, y: y[0] - 9.0 - content_m(y))
    for place in places:
        place.direction = 1.0
    solved = solve_ivp(slope, (0.0, 20.0), [0.0, 0.0], events=places, max_step=0.01, rtol=1e-10, atol=1e-10)
    passed = [states[0] for states in solved.y_events]
    store, scale = LengthRange(1.0, 12.0), LengthRange(0.001, 0.001)
    for encoder, column in ((Encoder.UNWIND, 0), (Encoder.LINE, 1)):
        way = Way(before=LengthRange(2.0, 2.0), after=LengthRange(7.0, 7.0), encoder=encoder)
        shown = splice_position.passages(way, LengthRange(6.0, 6.0), store, scale)
        for window, state in zip((shown.entry, shown.exit, shown.gate), passed, strict=True):
            assert window.earliest <= state[column] / 0.001 + 1e-3 and state[column] / 0.001 - 1e-3 <= window.latest
        exact = shown.entry if encoder is Encoder.UNWIND else shown.gate
        assert exact.latest - exact.earliest <= 1, "what the encoder needs no content for is known to a count"


@given(PIECES, st.integers(0, 5), st.integers(0, 5), st.integers(0, 10))
def test_passages_hold_the_counts_of_a_web_fed_piece_by_piece(feed, before, after, content):
    """The splice is the first piece fed; counts of each encoder when it is at each place, by pushing and taking pieces."""
    fed = taken = 0
    now, seen = content, {}
    for push, pop in feed:
        for step in [1] * push + [-1] * pop:
            if (step < 0 and now == 0) or now + step > 20:
                continue
            fed, taken, now = fed + (step > 0), taken + (step < 0), now + step
            for place, length in (("entry", before), ("exit", before + now), ("gate", before + now + after)):
                if fed >= length:
                    seen.setdefault(place, (fed, taken))
    store, scale = LengthRange(0.0, 20.0), LengthRange(1.0, 1.0)
    for encoder, column in ((Encoder.UNWIND, 0), (Encoder.LINE, 1)):
        ends = (LengthRange(float(before), float(before)), LengthRange(float(after), float(after)))
        way = Way(before=ends[0], after=ends[1], encoder=encoder)
        shown = splice_position.passages(way, LengthRange(float(content), float(content)), store, scale)
        for place, counts in seen.items():
            window = getattr(shown, place)
            # A piece is one count long: it is at a place from the count before.
            assert window.earliest - 1 <= counts[column] <= window.latest + 1


def test_a_late_start_widens_the_near_side_only():
    """By hand: 9 + 6 - 0.5 = 14.5 m at 1 m a count: 14; 15 m: 15."""
    way = Way(before=LengthRange(2.0, 2.0), after=LengthRange(7.0, 7.0), encoder=Encoder.LINE)
    shown = splice_position.passages(way, LengthRange(6.0, 6.0), LengthRange(0.0, 9.0), LengthRange(1.0, 1.0), 0.5)
    assert shown.gate == CountWindow(14, 15)
