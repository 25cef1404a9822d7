"""Draws on the accumulator: from microseconds of web at line speed to metres, and to constraints that ask for a draw.

A draw is kept as twice the time the line needs for the web: (t2 - t0) + (t3 - t1); see kernel/draw.py.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Measure
from seqcheck.explore.layers import Path
from seqcheck.explore.summary import Found
from seqcheck.explore.witness import Constraint, greatest_us
from seqcheck.kernel.draw_part import FROM_FULL, FROM_RUNNING, MOST_CHAINED, DrawPart
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import DrawMonitor
from seqcheck.language.sequence import Sequence

SPLITS = 8
"""Ways tried to share the draw between its two durations; the attainable shares form one interval."""

LEVEL_NAMES = {FROM_FULL: "filled level", FROM_RUNNING: "running level"}
ROOM_NAMES = {FROM_FULL: "emptied level", FROM_RUNNING: "running level"}
"""The levels where an accumulator takes web up."""

Draws = tuple[tuple[DrawPart, Found], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawSum:
    """The most that one chain of draws takes from `level`: its draws, and their sum as twice the time at line speed.

    One draw: what a run has. More: the worst of each kind added up, though no one run need have them all: a bound.
    `is_endless`: more draws can follow one another than are told apart.
    """

    level: int
    parts: tuple[DrawPart, ...]
    drawn_us: int
    is_endless: bool = False


def greatest_sum(draws: Draws, level: int) -> DrawSum | None:
    """The worst chain of draws that begins at `level`, or None if no draw does.

    A second draw adds to a first one that ended as the second one's kind says (`after_line`): after a standstill of the line
    the line runs again only once the sequence lets it, so its second draws are others than those after a splice.
    """
    here = [(part, found.value_us or 0) for part, found in draws if part.level == level]
    if not here:
        return None
    sums = [DrawSum(level=level, parts=(part,), drawn_us=drawn_us) for part, drawn_us in here if part.is_first]
    sums += [
        DrawSum(level=level, parts=(first, second), drawn_us=first_us + second_us)
        for first, first_us in here
        for second, second_us in here
        if first.is_first and second.chain == first.chain + 1 and second.after_line == first.by_line
    ]
    worst = max(sums, key=lambda found: (found.drawn_us, -len(found.parts), found.parts[0].is_whole))
    is_endless = any(part.chain >= MOST_CHAINED for part, _ in here)
    return DrawSum(level=level, parts=worst.parts, drawn_us=worst.drawn_us, is_endless=is_endless)


def draws_in_a_row(monitor: DrawMonitor, draws: Draws) -> str:
    """Why draws that follow one another before the level is truly back are not known to fit; nothing if they do."""
    for level, name in level_names(monitor).items():
        worst = greatest_sum(draws, level)
        if worst is None:
            continue
        if worst.is_endless:
            return f"{MOST_CHAINED} or more draws from the {name} follow one another before the level is back"
        if worst.drawn_us > level_budget_us(monitor, level):
            return f"by bound: {len(worst.parts)} draws in a row from the {name} may add up to more than allowed"
    return ""


def level_names(monitor: DrawMonitor) -> dict[int, str]:
    """What the levels are called from which a draw can begin."""
    return ROOM_NAMES if monitor.takes_up else LEVEL_NAMES


def level_budget_us(monitor: DrawMonitor, level: int) -> int:
    """What a level holds above the reserve, as twice the time the line needs for it."""
    return monitor.budget_us if level == FROM_FULL else monitor.budget_running_us


def metres_of(sequence: Sequence, drawn_us: int) -> float:
    """Web for a draw that is given as twice the time at line speed."""
    assert sequence.machine.line is not None, "a draw is only watched where the file has a line"
    return sequence.machine.line.speed_m_per_s / 2 / 1_000_000 * drawn_us


def shown_draws(draws: Draws) -> Draws:
    """The greatest draw of each kind that a reader tells apart; of two as great the one that is exact."""
    worst: dict[tuple[int, int, bool], tuple[DrawPart, Found]] = {}
    for part, found in draws:
        kind = (part.level, part.chain, part.by_line)
        known = worst.get(kind)
        if known is None or _rank(part, found) > _rank(*known):
            worst[kind] = (part, found)
    return tuple(worst[kind] for kind in sorted(worst))


def _rank(part: DrawPart, found: Found) -> tuple[int, bool]:
    return found.value_us or 0, part.is_whole


def draw_text(part: DrawPart, *, takes_up: bool = False) -> str:
    """What a kind of draw is, for people."""
    again = "" if part.is_first else f", draw {part.chain} in a row"
    if takes_up:
        end = "line stands" if part.by_line else "rewind is back"
        return f"web taken up from the {ROOM_NAMES[part.level]} until the {end}{again}"
    end = "line stands" if part.by_line else "unwind is back"
    return f"web drawn from the {LEVEL_NAMES[part.level]} until the {end}{again}"


def draw_measure(sequence: Sequence, monitor: DrawMonitor, part: DrawPart, found: Found, is_exact: bool) -> Measure:
    """The greatest draw of a kind, in metres of web, against what its level holds above the reserve."""
    return Measure(
        quantity=draw_text(part, takes_up=monitor.takes_up),
        unit="m",
        worst=metres_of(sequence, found.value_us or 0),
        limit=metres_of(sequence, level_budget_us(monitor, part.level)),
        is_exact=is_exact,
    )


def sum_measures(sequence: Sequence, monitor: DrawMonitor, draws: Draws) -> tuple[Measure, ...]:
    """The sums of draws in a row, from each level from which there are any: bounds."""
    found = []
    verb = "taken up" if monitor.takes_up else "drawn"
    for level, name in level_names(monitor).items():
        worst = greatest_sum(draws, level)
        if worst is not None and len(worst.parts) > 1:
            measure = Measure(
                quantity=f"web {verb} from the {name} by {len(worst.parts)} draws in a row",
                unit="m",
                worst=metres_of(sequence, worst.drawn_us),
                limit=metres_of(sequence, level_budget_us(monitor, level)),
                is_exact=False,
            )
            found.append(measure)
    return tuple(found)


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
        for share_us in dict.fromkeys(shares)
    )


def _from_the_middle() -> list[int]:
    """0 to SPLITS, the middle first: most shares that can be attained lie there."""
    return sorted(range(SPLITS + 1), key=lambda split: (abs(split - SPLITS // 2), split))


def _moments(path: Path, ages: tuple[int, ...]) -> tuple[int, int, int]:
    """The moments t0, t1, t2: when each age that the draw is measured with began to count."""
    end = len(path.edges)
    return tuple(began_at(path, key, end) if key else end for key in ages)  # type: ignore[return-value]


def began_at(path: Path, key: int, before: int) -> int:
    """The last moment before `before` at which `key` was not kept by the event: since then it has been pending."""
    for number in range(before - 1, 0, -1):
        if key not in path.edges[number - 1].kept:
            return number
    return 0
