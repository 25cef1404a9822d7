"""The budget drawn: a waterfall of the web that each step takes, for the worst draw of each level, and the margin curves.

At a rewind it is the web that each step brings on.

SVG written by hand: bars and lines are few, and so the same budget gives the same bytes everywhere. Black on white, readable in
print: what a colour says a word says too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

from seqcheck.check.budget import Budget
from seqcheck.check.budget_curve import Curve, CurvePoint
from seqcheck.check.budget_side import Side
from seqcheck.check.budget_worst import WorstDraw

WIDTH = 900
LEFT, RIGHT = 220, 110
"""Room for the names on the left and the values on the right."""

ROW, TOP, BELOW = 24, 52, 40
CURVE_HEIGHT = 220
DRAWN, REST, EDGE, GRID = "#4878a8", "#d9e4d4", "#222222", "#bbbbbb"


@dataclass(frozen=True, slots=True)
class Panel:
    """A piece of the drawing, its top at zero, and how high it is."""

    height: float
    parts: tuple[str, ...]


def budget_svg(budget: Budget) -> str:
    """The whole drawing as SVG text."""
    panels = [_waterfall(draw, budget.side) for draw in budget.draws if draw.is_leading and draw.phases]
    panels += [_curve(budget, curve) for curve in budget.curves if curve.points]
    title = f"{budget.sequence.name}: accumulator budget, {budget.requirement.id}"
    height = 40 + sum(panel.height for panel in panels)
    body, top = [], 40.0
    for panel in panels:
        body.append(f'<g transform="translate(0 {_number(top)})">')
        body.extend(panel.parts)
        body.append("</g>")
        top += panel.height
    return "\n".join(
        (
            _root(height),
            f"<title>{escape(title)}</title>",
            f'<rect width="{WIDTH}" height="{_number(height)}" fill="white"/>',
            _text(20, 26, title, size=16, bold=True),
            *body,
            "</svg>",
            "",
        )
    )


def _root(height: float) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {_number(height)}" width="{WIDTH}" '
        f'height="{_number(height)}" font-family="Helvetica, Arial, sans-serif" font-size="13" role="img">'
    )


# -- waterfall -----------------------------------------------------------------------------------------------


def _waterfall(draw: WorstDraw, side: Side) -> Panel:
    exact = "exact" if draw.is_exact else "by bound"
    whole_m = max(draw.budget_m, draw.drawn_m) or 1.0
    rows = len(draw.phases) + 1
    bottom = TOP + rows * ROW
    parts = [
        _text(20, 24, f"{draw.quantity}: {draw.drawn_m:.3f} m ({exact})", bold=True),
        *_scale(whole_m, bottom),
        *_bars(draw, side, whole_m),
        *_mark(_across(draw.budget_m, whole_m), bottom, f"{side.limit}, {draw.budget_m:.3f} m"),
    ]
    return Panel(bottom + BELOW, tuple(parts))


def _bars(draw: WorstDraw, side: Side, whole_m: float) -> Iterator[str]:
    drawn_m = 0.0
    for number, phase in enumerate(draw.phases):
        name = f"{phase.step}, {(phase.end_us - phase.begin_us) / 1_000_000:.3f} s"
        yield from _bar(number, name, (drawn_m, drawn_m + phase.drawn_m), whole_m, DRAWN)
        drawn_m += phase.drawn_m
    if draw.budget_m > drawn_m:
        yield from _bar(len(draw.phases), side.left, (drawn_m, draw.budget_m), whole_m, REST)
    else:
        yield _text(LEFT - 8, TOP + len(draw.phases) * ROW + 16, "nothing left", anchor="end")


def _bar(number: int, name: str, ends_m: tuple[float, float], whole_m: float, fill: str) -> Iterator[str]:
    top = TOP + number * ROW
    first, last = (_across(end, whole_m) for end in ends_m)
    yield _text(LEFT - 8, top + 16, name, anchor="end")
    yield (
        f'<rect x="{_number(first)}" y="{top + 3}" width="{_number(last - first)}" height="{ROW - 6}" '
        f'fill="{fill}" stroke="{EDGE}" stroke-width="0.6"/>'
    )
    yield _text(last + 6, top + 16, f"{ends_m[1] - ends_m[0]:.3f} m")


def _scale(whole_m: float, bottom: float) -> Iterator[str]:
    for part_m in _round_values(whole_m):
        x = _across(part_m, whole_m)
        yield _line(x, TOP, x, bottom, GRID)
        yield _text(x, bottom + 16, f"{part_m:g} m", anchor="middle")


def _mark(x: float, bottom: float, text: str) -> tuple[str, str]:
    return _line(x, TOP - 6, x, bottom, EDGE, width=1.6), _text(x, TOP - 10, text, anchor="end")


def _across(value_m: float, whole_m: float) -> float:
    return LEFT + value_m / whole_m * (WIDTH - LEFT - RIGHT)


# -- curves --------------------------------------------------------------------------------------------------


def _curve(budget: Budget, curve: Curve) -> Panel:
    bottom = TOP + CURVE_HEIGHT
    known = [point for point in curve.points if point.margin_m is not None]
    scale = _CurveScale(
        least_at=min(point.at for point in curve.points),
        most_at=max(point.at for point in curve.points),
        least_m=min([0.0, *(point.margin_m or 0.0 for point in known)]),
        most_m=max([0.0, *(point.margin_m or 0.0 for point in known)]) or 1.0,
    )
    corners = " ".join(f"{_number(scale.x(point.at))},{_number(scale.y(point.margin_m or 0.0))}" for point in known)
    parts = [
        _text(20, 24, f"margin over {curve.quantity}", bold=True),
        _text(20, 42, curve.model, size=11),
        *_curve_grid(curve, scale, bottom),
        f'<polyline points="{corners}" fill="none" stroke="{DRAWN}" stroke-width="2"/>',
        *(_dot(point, scale) for point in known),
        *_curve_now(budget, curve, scale, bottom),
    ]
    return Panel(bottom + BELOW + 16, tuple(parts))


@dataclass(frozen=True, slots=True, kw_only=True)
class _CurveScale:
    least_at: float
    most_at: float
    least_m: float
    most_m: float

    def x(self, at: float) -> float:
        """Across."""
        width = WIDTH - LEFT - RIGHT
        return LEFT + (at - self.least_at) / ((self.most_at - self.least_at) or 1.0) * width

    def y(self, margin_m: float) -> float:
        """Down."""
        return TOP + CURVE_HEIGHT - (margin_m - self.least_m) / (self.most_m - self.least_m) * CURVE_HEIGHT


def _curve_grid(curve: Curve, scale: _CurveScale, bottom: float) -> Iterator[str]:
    for point in curve.points:
        x = scale.x(point.at)
        yield _line(x, TOP, x, bottom, GRID)
        text = f"{point.at * 60:.0f}" if curve.unit == "m/s" else f"{point.at * 1000:.0f}"
        yield _text(x, bottom + 16, text, anchor="middle")
    yield _text(WIDTH - RIGHT + 12, bottom + 16, "m/min" if curve.unit == "m/s" else "mm")
    for margin_m in dict.fromkeys((scale.least_m, 0.0, scale.most_m)):
        y = scale.y(margin_m)
        yield _line(LEFT, y, WIDTH - RIGHT, y, EDGE if margin_m == 0 else GRID)
        yield _text(LEFT - 8, y + 4, f"{margin_m:.2f} m", anchor="end")


def _dot(point: CurvePoint, scale: _CurveScale) -> str:
    """Full where the web lasts, hollow where it does not."""
    fill = DRAWN if point.holds else "white"
    x, y = _number(scale.x(point.at)), _number(scale.y(point.margin_m or 0.0))
    return f'<circle cx="{x}" cy="{y}" r="4" fill="{fill}" stroke="{EDGE}"/>'


def _curve_now(budget: Budget, curve: Curve, scale: _CurveScale, bottom: float) -> Iterator[str]:
    yield _text(LEFT, bottom + 34, f"full dot: {budget.side.lasts[0].lower()}{budget.side.lasts[1:]}; hollow: it does not", size=11)
    if curve.unit == "m/s":
        x = scale.x(budget.line_speed_m_per_s)
        yield _line(x, TOP, x, bottom, EDGE)
        yield _text(x + 4, TOP + 14, "in the file", size=11)


# -- marks ---------------------------------------------------------------------------------------------------


def _round_values(whole: float) -> Iterator[float]:
    """0 and about five more round values up to `whole`."""
    step = 1.0
    while whole / step > 10:
        step *= 10
    while whole / step < 1:
        step /= 10
    step *= next(factor for factor in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0) if whole / (step * factor) <= 6)
    number = 0
    while number * step <= whole:
        yield round(number * step, 9)
        number += 1


def _text(x: float, y: float, text: str, *, anchor: str = "start", size: int = 13, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" text-anchor="{anchor}" font-size="{size}"{weight}>{escape(text)}</text>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, stroke: str, *, width: float = 0.8) -> str:
    return (
        f'<line x1="{_number(x1)}" y1="{_number(y1)}" x2="{_number(x2)}" y2="{_number(y2)}" '
        f'stroke="{stroke}" stroke-width="{width}"/>'
    )


def _number(value: float) -> str:
    """Two decimals, without trailing zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
