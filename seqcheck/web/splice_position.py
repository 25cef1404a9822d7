"""Where the splice is, counted by an encoder, and when a reject gate must act on it.

The web runs: splice head, path before the accumulator, accumulator, path after it, gate. Let P be the two
fixed paths together, C(t) the content, F(t) the length fed past the splice head and G(t) the length taken
past the gate, both since the splice lay under the head (t = 0). Web is neither made nor lost:

    C(t) = C(0) + F(t) - G(t)                                                              (1)

The splice has moved F along a way that is P + C(t) long *now*, so it is at the gate when F = P + C(t).
With (1):

    F = P + C(arrival)    counted by an encoder before the accumulator (at the unwind or splice head)
    G = P + C(0)          counted by an encoder after the accumulator (in the line)

So an encoder in the line needs only the content at the moment of the splice, however the content changes
afterwards: the web that lay ahead of the splice must pass the gate, no more and no less. An encoder at the
head needs the content at arrival. Content is all web between the two paths, the strands' length with an empty
accumulator included or put into the path. Stretch is not modelled: put it into the range of length per count.
"""

import math
from dataclasses import dataclass
from enum import Enum

from seqcheck.web.positive import require_positive


class Section(Enum):
    """Part of the web path in which the splice is."""

    BEFORE_ACCUMULATOR = "before the accumulator"
    IN_ACCUMULATOR = "in the accumulator"
    AFTER_ACCUMULATOR = "after the accumulator"
    PAST_GATE = "past the gate"


@dataclass(frozen=True, slots=True)
class LengthRange:
    """A length known to lie between two bounds, both included."""

    least_m: float
    most_m: float

    def __post_init__(self) -> None:
        """Refuse bounds the wrong way round."""
        if not self.least_m <= self.most_m:
            raise ValueError(f"least {self.least_m} m is more than most {self.most_m} m")


@dataclass(frozen=True, slots=True, kw_only=True)
class SplicePath:
    """What is known of the way from splice head to gate.

    `content` is the accumulator's content at the splice (encoder in the line) or at arrival (encoder at the
    head). `ahead_m` and `behind_m` are the lengths of spoilt web (tape, overlap, creases) before and after
    the splice line. `start_late_m` is the most web that passes the encoder before its count is set to zero (a
    late read).
    """

    fixed: LengthRange
    content: LengthRange
    ahead_m: float = 0.0
    behind_m: float = 0.0
    start_late_m: float = 0.0


@dataclass(frozen=True, slots=True)
class CountWindow:
    """Counts between which the spoilt web may be at the gate, both included."""

    earliest: int
    latest: int


class Encoder(Enum):
    """Where the encoder is that counts."""

    LINE = "line"
    """Behind the accumulator, in the line."""
    UNWIND = "unwind"
    """Before the accumulator, at the unwind or splice head."""


@dataclass(frozen=True, slots=True)
class LengthOfTime:
    """A time known to lie between two bounds, both included."""

    least_s: float
    most_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The fixed lengths from splice head to accumulator and from accumulator to gate, and where the encoder is."""

    before: LengthRange
    after: LengthRange
    encoder: Encoder


@dataclass(frozen=True, slots=True)
class Passages:
    """Counts at which the splice enters the accumulator, leaves it, and is at the gate."""

    entry: CountWindow
    exit: CountWindow
    gate: CountWindow


def splice_to_gate_m(*, path_m: float, content_at_splice_m: float, passed_gate_m: float) -> float:
    """Web still to pass the gate before the splice does: P + C(0) - G; negative once it is past.

    Source: module docstring, G = P + C(0).
    """
    return path_m + content_at_splice_m - passed_gate_m


def section_of_splice(
    *, path_before_m: float, path_after_m: float, content_now_m: float, fed_m: float
) -> Section:
    """Part of the path in which the splice is once `fed_m` has passed the head.

    A border counts as the later part.

    Source: module docstring, the way is path before + C(t) + path after long now.
    """
    if fed_m < path_before_m:
        return Section.BEFORE_ACCUMULATOR
    if fed_m < path_before_m + content_now_m:
        return Section.IN_ACCUMULATOR
    if fed_m < path_before_m + content_now_m + path_after_m:
        return Section.AFTER_ACCUMULATOR
    return Section.PAST_GATE


def reject_window(path: SplicePath, length_per_count: LengthRange) -> CountWindow:
    """Counts from the first at which spoilt web may be at the gate to the last, rounded outwards.

    earliest = (least P + least C - ahead - start late) / most length a count, latest = (most P + most C +
    behind) / least length a count. The earliest may be negative: the gate is then too near to be sure of
    anything.

    Raises ValueError if the length per count is not positive.
    Source: module docstring, with every range at the end that widens the window.
    """
    require_positive("length_per_count", length_per_count.least_m)
    nearest_m = path.fixed.least_m + path.content.least_m - path.ahead_m - path.start_late_m
    farthest_m = path.fixed.most_m + path.content.most_m + path.behind_m
    # A negative distance is longest in counts where a count is shortest.
    nearest_scale_m = length_per_count.most_m if nearest_m >= 0 else length_per_count.least_m
    return CountWindow(
        earliest=math.floor(nearest_m / nearest_scale_m),
        latest=math.ceil(farthest_m / length_per_count.least_m),
    )


def latest_gate_command_count(
    window: CountWindow, *, speed_m_per_s: float, gate_time_s: float, length_per_count: LengthRange
) -> int:
    """Last count at which the gate can be commanded so that it is open when the spoilt web may come.

    `gate_time_s` is the longest from command to open (output delay included), `speed_m_per_s` the highest
    speed at the encoder meanwhile. Negative: the splice is there before the gate can be, the path is too
    short.

    Raises ValueError if the length per count is not positive.
    Source: web that passes while the gate moves, v t, in the most counts it can be.
    """
    require_positive("length_per_count", length_per_count.least_m)
    return window.earliest - math.ceil(speed_m_per_s * gate_time_s / length_per_count.least_m)


def content_while_standing_m(
    *, content_at_stop: LengthRange, line_speed_m_per_s: float, since_stop_s: LengthOfTime, since_standstill_s: LengthOfTime
) -> LengthRange:
    """Content at a moment while the unwind stands and the line runs on; never below nothing.

    `since_stop_s` is the time since the unwind began its linear stop from line speed at t0, `since_standstill_s` since it stood
    at t1. Each range may come from another run: the result is a bound.

    Source: content(0) less v (t - t0) - v (t1 - t0) / 2 = v / 2 ((t - t0) + (t - t1)), conservation of length.
    """
    half_m_per_s = line_speed_m_per_s / 2
    most_drawn_m = half_m_per_s * (since_stop_s.most_s + since_standstill_s.most_s)
    least_drawn_m = half_m_per_s * (since_stop_s.least_s + since_standstill_s.least_s)
    return LengthRange(
        max(0.0, content_at_stop.least_m - most_drawn_m), max(0.0, content_at_stop.most_m - least_drawn_m)
    )


def passages(
    way: Way, content: LengthRange, store: LengthRange, length_per_count: LengthRange, start_late_m: float = 0.0
) -> Passages:
    """Counts at which the splice line itself is at the accumulator's entry, its exit and the gate, rounded outwards.

    `content` is the accumulator's content at the splice, `store` all it can be later, `start_late_m` the most web that passes
    the encoder before its count is zero. With an encoder in the line the entry is known no better than the content then; with one
    at the head it is the exit and the gate.

    Raises ValueError if the length per count is not positive.
    Source: module docstring: F counts up to path before (entry), and up to path before + C (exit); G = F + C(0) - C.
    """
    require_positive("length_per_count", length_per_count.least_m)
    before, after = way.before, way.after
    if way.encoder is Encoder.LINE:
        entry = LengthRange(before.least_m + content.least_m - store.most_m, before.most_m + content.most_m - store.least_m)
        leaving = _sum(before, content)
    else:
        entry, leaving = before, _sum(before, store)
    gate = _sum(leaving, after)
    places = (entry, leaving, gate)
    return Passages(
        *(_counts(LengthRange(place.least_m - start_late_m, place.most_m), length_per_count) for place in places)
    )


def _sum(first: LengthRange, second: LengthRange) -> LengthRange:
    return LengthRange(first.least_m + second.least_m, first.most_m + second.most_m)


def _counts(place: LengthRange, length_per_count: LengthRange) -> CountWindow:
    """The counts of a place; the splice is at no place before the count begins."""
    return CountWindow(
        earliest=math.floor(max(0.0, place.least_m) / length_per_count.most_m),
        latest=math.ceil(max(0.0, place.most_m) / length_per_count.least_m),
    )


def stop_position_m(
    *, speed_m_per_s: float, least_delay_s: float, most_delay_s: float, stopping_distance: LengthRange
) -> LengthRange:
    """Where a registered web comes to rest after its mark was seen: v x delay + stopping distance.

    The mark is met within a tolerance if both ends of this range are within it of the wanted place.

    Raises ValueError if the delays or distances are the wrong way round.
    Source: textbook kinematics.
    """
    return LengthRange(
        speed_m_per_s * least_delay_s + stopping_distance.least_m,
        speed_m_per_s * most_delay_s + stopping_distance.most_m,
    )
