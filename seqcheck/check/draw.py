"""Draws on the accumulator: from microseconds of web at line speed to metres, and to a schedule that attains them."""

from __future__ import annotations

from seqcheck.check.outcome import Measure
from seqcheck.explore.layers import Path
from seqcheck.explore.summary import Found
from seqcheck.explore.witness import Constraint, greatest_us
from seqcheck.kernel.draw import MOST_CHAINED
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import DrawMonitor
from seqcheck.language.sequence import Sequence

SPLITS = 16
"""Ways tried to share the draw between its two durations; the attainable shares form one interval."""

LEVELS = ("filled", "running level")


def is_draw_exact(part: int) -> bool:
    """Whether the expression itself is exact: a first draw with whole ramps (see kernel/draw.py)."""
    return part // 10 % 10 <= 1 and part % 10 == 0


def draws_in_a_row(monitor: DrawMonitor, draws: tuple[tuple[int, Found], ...]) -> str:
    """Why draws that follow one another before the level is truly back are not known to fit; nothing if they do.

    The worst first, second, ... draw from a level are added, though no one run need have them all: a bound.
    """
    for level in range(len(LEVELS)):
        budget_us = level_budget_us(monitor, level)
        worst: dict[int, int] = {}
        for part, found in draws:
            if part // 100 == level:
                chain = part // 10 % 10
                worst[chain] = max(worst.get(chain, 0), found.value_us or 0)
        if MOST_CHAINED in worst:
            return f"{MOST_CHAINED} or more draws from the {LEVELS[level]} follow one another before the level is back"
        if len(worst) > 1 and sum(worst.values()) > budget_us:
            return f"by bound: {len(worst)} draws in a row from the {LEVELS[level]} may add up to more than it holds"
    return ""


def level_budget_us(monitor: DrawMonitor, level: int) -> int:
    """What a level holds above the reserve, as twice the time the line needs for it."""
    return monitor.budget_running_us if level else monitor.budget_us


def draw_measure(sequence: Sequence, monitor: DrawMonitor, part: int, found: Found, is_exact: bool) -> Measure:
    """The greatest draw from one level, in metres of web, against what that level holds above the reserve."""
    assert sequence.machine.line is not None, "a draw is only watched where the file has a line"
    level, chain = part // 100, part // 10 % 10
    metres = sequence.machine.line.speed_m_per_s / 2 / 1_000_000
    budget_us = level_budget_us(monitor, level)
    again = "" if chain <= 1 else f", draw {chain} in a row"
    return Measure(
        quantity=f"web drawn from the {LEVELS[level]}{again}",
        unit="m",
        worst=(found.value_us or 0) * metres,
        limit=budget_us * metres,
        is_exact=is_exact,
    )


def draw_constraints(
    network: Network, number: int, path: Path, drawn_us: int
) -> tuple[tuple[Constraint, ...], ...]:
    """Constraints that ask for a draw of `drawn_us` at the end of `path`: its two durations add up to that.

    How much each of the two takes is tried from the most the one can be to the most the other can be.
    """
    marks = [mark for mark in path.edges[-1].marks if mark.monitor == number and mark.kind == "drawn"]
    if not marks:
        return ((),)
    left, stood, restarted = _moments(path, marks[-1].ages)
    end = len(path.edges)
    most_standing_us = greatest_us(network, path, stood, end)
    most_leading_us = greatest_us(network, path, left, restarted)
    highest_us = drawn_us if most_standing_us is None else min(most_standing_us, drawn_us)
    lowest_us = 0 if most_leading_us is None else max(drawn_us - most_leading_us, 0)
    shares = [lowest_us + (highest_us - lowest_us) * split // SPLITS for split in _from_the_middle()]
    return tuple(
        (Constraint(end, stood, -share_us), Constraint(restarted, left, -(drawn_us - share_us)))
        for share_us in shares
    )


def _from_the_middle() -> list[int]:
    """0 to SPLITS, the middle first: most shares that can be attained lie there."""
    return sorted(range(SPLITS + 1), key=lambda split: (abs(split - SPLITS // 2), split))


def _moments(path: Path, ages: tuple[int, ...]) -> tuple[int, int, int]:
    """The moments t0, t1, t2: when each age that the draw is measured with began to count."""
    end = len(path.edges)
    return tuple(_began(path, key) if key else end for key in ages)  # type: ignore[return-value]


def _began(path: Path, key: int) -> int:
    """The last moment at which `key` was not kept by the event, counting back from the end."""
    for number in range(len(path.edges) - 1, 0, -1):
        if key not in path.edges[number - 1].kept:
            return number
    return 0
