"""What the monitors noticed in a run, with the times that a clock shows.

A duration is the time between two moments of the run. A draw is (t2 - t0) + (t3 - t1), where the unwind
leaves line speed at t0, stands at t1, restarts at t2 and is back at t3 (kernel/draw.py has the picture and
its exceptions).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from seqcheck.kernel.draw_part import FROM_FULL, NO_DRAW, DrawPart
from seqcheck.kernel.event import Mark
from seqcheck.kernel.observer import DrawMonitor, Monitor, StopwatchMonitor


@dataclass(frozen=True, slots=True, kw_only=True)
class Noticed:
    """A mark with its time. `value_us` is what was measured (`ended`, `drawn`), else None.

    `moments_us` are the moments it was measured from: start and end, or t0, t1, t2, t3. `monitor` and `draw`
    as in the mark.
    """

    time_us: int
    monitor: int
    kind: str
    draw: DrawPart = NO_DRAW
    moments_us: tuple[int, ...] = ()
    value_us: int | None = None


def noticed(mark: Mark, since_us: Mapping[int, int], now_us: int) -> Noticed:
    """The mark with what it asks to be measured; `since_us` says when each age began."""
    moments_us: tuple[int, ...] = ()
    value_us = None
    if mark.kind == "ended":
        moments_us = (since_us[mark.ages[0]], now_us)
        value_us = moments_us[1] - moments_us[0]
    elif mark.kind == "drawn":
        start, stand, restart = mark.ages
        moments_us = (since_us[start], since_us[stand], since_us[restart] if restart else now_us, now_us)
        value_us = drawn_us(*moments_us)
    return Noticed(
        time_us=now_us,
        monitor=mark.monitor,
        kind=mark.kind,
        draw=mark.draw,
        moments_us=moments_us,
        value_us=value_us,
    )


def drawn_us(left_speed_us: int, stood_us: int, restarted_us: int, back_us: int) -> int:
    """The web drawn, as twice the time the line needs for it: (t2 - t0) + (t3 - t1)."""
    return (restarted_us - left_speed_us) + (back_us - stood_us)


def violation(item: Noticed, monitor: Monitor) -> str | None:
    """Why what was noticed violates what `monitor` watches for, or None."""
    if item.kind == "bad":
        return "what must not be so holds"
    match monitor:
        case StopwatchMonitor():
            return _duration_violation(item, monitor)
        case DrawMonitor():
            return _draw_violation(item, monitor)
    return None


def _duration_violation(item: Noticed, monitor: StopwatchMonitor) -> str | None:
    if item.kind == "over":
        return "the longest time has passed" if monitor.at_most_us is not None else None
    if item.value_us is None:
        return None
    if item.value_us < monitor.at_least_us:
        return "it ends too soon"
    if monitor.at_most_us is not None and item.value_us > monitor.at_most_us:
        return "it ends too late"
    return None


def _draw_violation(item: Noticed, monitor: DrawMonitor) -> str | None:
    if item.kind == "over":
        return "the draw goes on beyond the stored web"
    if item.value_us is None:
        return None
    budget_us = monitor.budget_us if item.draw.level == FROM_FULL else monitor.budget_running_us
    if not item.draw.is_first:
        return "a draw begins before the web is truly back"
    return "more web is drawn than allowed" if item.value_us > budget_us else None
