"""A budget as blocks: worst draws, where their web goes, the runs that attain them, limits, critical path, curves."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from seqcheck.check.budget import Budget
from seqcheck.check.budget_curve import Curve, CurvePoint
from seqcheck.check.budget_search import SCAN_FACTOR, Boundary, Growth
from seqcheck.check.budget_side import Side
from seqcheck.check.budget_worst import WorstDraw
from seqcheck.cli.block import Block, Cell, Heading, Lines, Table, Tone, cells, lines
from seqcheck.cli.outcome_text import verdict_table
from seqcheck.cli.witness_text import counted, witness_blocks
from seqcheck.quantities.time import format_time
from seqcheck.quantities.unit_system import shown_text

_Text = Callable[[float | None], str]

BAR_WIDTH = 40
"""Characters that stand for the web a level holds above the reserve."""

NONE = "-"

MEANING = "The margin says that {lasts}, not that the {event} is made: past a watchdog the machine comes down and {uses} less."


def budget_blocks(budget: Budget) -> tuple[Block, ...]:
    """All that a person is told about the budget; the caution is the caller's to add."""
    return (
        *_head(budget),
        *_draws(budget),
        *(block for draw in budget.draws if draw.is_leading for block in _leading(draw, budget.side)),
        *_refill(budget),
        *_limits(budget),
        *_growths(budget),
        *(block for curve in budget.curves for block in _curve(curve, budget.side)),
        *_others(budget),
    )


def _head(budget: Budget) -> Iterator[Block]:
    sequence, needed = budget.sequence, budget.requirement
    yield Heading(f"{sequence.file}: accumulator budget of {sequence.name}")
    yield lines(f"{needed.id}: {needed.text}", f"Under {needed.under.text}, given {needed.given.text}.")
    yield Lines((_verdict(budget),))
    if budget.stopped:
        yield Lines((Cell(f"Not complete: {budget.stopped}.", Tone.DOUBT),))


def _verdict(budget: Budget) -> Cell:
    proof = budget.proof
    if proof.is_broken:
        return Cell(f"[!!] {budget.side.fails}.", Tone.BAD)
    if not proof.holds:
        return Cell(f"[??] Not decided: {proof.undecided}.", Tone.DOUBT)
    return Cell(f"[ok] {budget.side.lasts}; {_metres(proof.margin_m)} are left at worst.", Tone.GOOD)


def _metres(value: float | None) -> str:
    return NONE if value is None else shown_text(value, "m")


# -- draws ---------------------------------------------------------------------------------------------------


def _draws(budget: Budget) -> Iterator[Block]:
    yield Heading("Most web taken up, over all runs" if budget.side.takes_up else "Worst draws, over all runs")
    rows = [
        cells(
            draw.quantity,
            _metres(draw.drawn_m),
            _metres(draw.attained_m),
            "exact" if draw.is_exact else "by bound",
            _metres(draw.budget_m),
            _metres(draw.margin_m),
        )
        for draw in budget.draws
    ]
    rows += [
        cells(
            f"{len(level.worst.parts)} draws in a row from the {level.text}",
            _metres(level.drawn_m),
            NONE,
            "by bound",
            _metres(level.budget_m),
            _metres(level.margin_m),
        )
        for level in budget.proof.levels
        if len(level.worst.parts) > 1
    ]
    yield Table(("what", "worst", "in its replay", "value is", "budget", "margin"), tuple(rows))


def _leading(draw: WorstDraw, side: Side) -> Iterator[Block]:
    yield Heading(f"Where it goes: {draw.quantity}")
    if not draw.phases:
        yield lines("No run that attains it could be replayed, so there are no phases to show.")
    else:
        yield waterfall_table(draw, side)
    if draw.run is not None:
        yield Heading("The run that attains it" if draw.is_attained else "A run that comes near to it")
        yield from witness_blocks(draw.run.witness)


def waterfall_table(draw: WorstDraw, side: Side) -> Table:
    """One row a phase; its bar begins where the one before ends, and the last row is what is left."""
    rows, drawn_m = [], 0.0
    for phase in draw.phases:
        rows.append(
            cells(
                phase.step,
                format_time(phase.begin_us),
                format_time(phase.end_us - phase.begin_us),
                _metres(phase.drawn_m),
                _metres(draw.budget_m - drawn_m - phase.drawn_m),
                _bar(drawn_m, drawn_m + phase.drawn_m, draw.budget_m, "#"),
            )
        )
        drawn_m += phase.drawn_m
    rows.append(
        cells(side.left, "", "", _metres(draw.budget_m - drawn_m), "", _bar(drawn_m, draw.budget_m, draw.budget_m, "="))
    )
    return Table(("step", "from", "for", "web", "left", "waterfall"), tuple(rows))


def _bar(begin_m: float, end_m: float, whole_m: float, mark: str) -> str:
    """A bar on a scale from nothing to the whole budget; what goes beyond is shown by an arrow."""
    if whole_m <= 0:
        return ""
    first, last = (min(BAR_WIDTH, round(part / whole_m * BAR_WIDTH)) for part in (begin_m, end_m))
    beyond = ">" if end_m > whole_m * (1 + 1e-9) else ""
    return "|" + "." * first + mark * (last - first) + beyond


# -- what follows from it ------------------------------------------------------------------------------------


def _refill(budget: Budget) -> Iterator[Block]:
    if budget.refill is not None:
        again = "Emptying again after the most web taken up" if budget.side.takes_up else "Refill after the worst draw"
        yield Heading(f"{again} from the {budget.side.from_level} level, ramps to overspeed not counted")
        to_running, to_whole = f"{budget.refill.to_running_s:.2f} s", f"{budget.refill.to_filled_s:.2f} s"
        yield lines(f"To the running level {to_running}, to the {budget.side.from_level} level {to_whole}.")


def _limits(budget: Budget) -> Iterator[Block]:
    if budget.highest_speed is None:
        return
    store, speed_m_per_s = budget.accumulator, budget.line_speed_m_per_s
    rows = [_limit("highest line speed", _speed(speed_m_per_s), budget.highest_speed, _speed)]
    if budget.smallest_stroke_m is not None:
        rows.append(_limit("smallest stroke", _metres(store.stroke_m), budget.smallest_stroke_m, _metres))
    if budget.smallest_strands is not None:
        rows.append(_limit("fewest strands", str(store.strands), budget.smallest_strands, _whole))
    yield Heading("Limits, each between two proofs")
    yield Table(("what", "in the file", "holds at", "does not hold at"), tuple(rows))


def _limit(what: str, now: str, found: Boundary, text: _Text) -> tuple[Cell, ...]:
    return cells(what, now, text(found.holds_at), text(found.fails_at))


def _speed(value: float | None) -> str:
    return NONE if value is None else shown_text(value, "m/s", 1)


def _whole(value: float | None) -> str:
    return NONE if value is None else f"{value:.0f}"


def _growths(budget: Budget) -> Iterator[Block]:
    if not budget.growths:
        return
    critical = [part for part in budget.growths if part.most_us is not None or part.slope_m_per_s > 0]
    yield Heading("Critical path: durations that the margin depends on, and how much longer each may become alone")
    rows = tuple(_growth(part) for part in sorted(critical, key=_nearness))
    yield Table(("duration", "line", "in the file", "may grow by", "margin lost in 100 ms"), rows)
    rest = len(budget.growths) - len(critical)
    tried = format_time(max(part.tried_us for part in budget.growths))
    yield lines(
        f"{counted(rest, 'other duration')} may grow without any effect on the margin; tried up to {tried}, "
        f"scan times up to {SCAN_FACTOR} times as long."
    )


def _nearness(growth: Growth) -> tuple[int, float, str]:
    most_us = growth.tried_us + 1 if growth.most_us is None else growth.most_us
    return most_us, -growth.slope_m_per_s, growth.duration.name


def _growth(growth: Growth) -> tuple[Cell, ...]:
    place = growth.duration.place
    may = f"more than {format_time(growth.tried_us)}" if growth.most_us is None else f"{growth.most_us / 1000:.0f} ms"
    return cells(
        growth.duration.name,
        NONE if place is None else str(place.line),
        growth.duration.text,
        may,
        _metres(growth.slope_m_per_s / 10),
    )


def _curve(curve: Curve, side: Side) -> Iterator[Block]:
    yield Heading(f"Margin over {curve.quantity}")
    yield lines(f"Assumed: {curve.model}.", _meaning(side))
    if curve.missing:
        yield lines(f"Not worked out: it {curve.missing}.")
        return
    rows = tuple(_point(curve, point) for point in curve.points)
    yield Table((curve.quantity, "tension allows ramps of", "margin", "room lasts" if side.takes_up else "web lasts"), rows)


def _meaning(side: Side) -> str:
    lasts = side.lasts[0].lower() + side.lasts[1:]
    return MEANING.format(lasts=lasts, event=side.event, uses="takes up" if side.takes_up else "draws")


def _point(curve: Curve, point: CurvePoint) -> tuple[Cell, ...]:
    at = _speed(point.at) if curve.unit == "m/s" else shown_text(point.at * 1000, "mm", 0)
    margin = ("less than " if point.is_floor else "") + _metres(point.margin_m)
    ramp = NONE if point.ramp_us is None else f"{point.ramp_us / 1_000_000:.3f} s or more"
    lasts = "yes" if point.holds else f"no{': ' + point.note if point.note else ''}"
    return (*cells(at, ramp, margin), Cell(lasts, Tone.GOOD if point.holds else Tone.BAD))


def _others(budget: Budget) -> Iterator[Block]:
    if budget.others:
        yield Heading("Other requirements on web")
        yield verdict_table(budget.others)
