"""The nominal cycle as a timing chart with ranges: each step a bar, solid where it is active in every run, hatched where in some.

The cycle mostly has one long wait (a fill) and many short steps, so the short ones are shown once more, larger. SVG written by
hand: bars are few, and so the same times give the same bytes everywhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from xml.sax.saxutils import escape

from seqcheck.diagrams.cycle_times import CycleTimes, StepEntry
from seqcheck.diagrams.hazard import Hazards, hazard_text
from seqcheck.diagrams.svg import DARK_STYLE, FONT_FAMILY
from seqcheck.language.sequence import Chart, Sequence
from seqcheck.quantities.time import format_time

WIDTH, LEFT, RIGHT, ROW, HEAD = 1000, 190, 30, 24, 40
SHORT, LEAST_SHORT, WORTH_IT = 0.1, 3, 0.5
"""At least three steps in a row, each under a tenth of the cycle and together under half of it, are shown once more, larger."""
INK, PAPER, GRID, ACCENT = "black", "white", "#888888", "#9c1c1c"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bar:
    """Possible from `begin[0]` to `end[1]`, certain from `begin[1]` to `end[0]`."""

    name: str
    hazard: str
    begin: tuple[int, int]
    end: tuple[int, int]


@dataclass(slots=True)
class _Sheet:
    """Lines of SVG from top to bottom. Mutable: it grows."""

    y: float = 0.0
    lines: list[str] = field(default_factory=list)


def range_chart_svg(
    sequence: Sequence, chart: Chart, parts: tuple[CycleTimes, ...], hazards: Hazards
) -> str:
    """The chart as SVG text: a panel for each of `parts`, the whole cycle first."""
    sheet = _Sheet(y=24.0)
    _text(sheet, 12, sheet.y, f"Timing of {chart.name} with ranges", bold=True)
    _text(sheet, 12, sheet.y + 16, f"{sequence.name}, revision {sequence.revision}")
    _text(sheet, 12, sheet.y + 32, "Solid: active in every run without a failure. Hatched: in some run, depending on times.")
    sheet.y += 48
    for times in parts:
        bars = _bars(chart, times, hazards)
        title = f"from the entry of {bars[0].name} to the end of {bars[-1].name}"
        _panel(sheet, title, bars, (0, max(bar.end[1] for bar in bars)))
    if not all(times.is_complete for times in parts):
        _text(sheet, 12, sheet.y + 8, "Not all runs were explored: the times are of those that were.")
        sheet.y += 20
    return "\n".join([_root(sheet.y, f"Timing of {chart.name}"), *sheet.lines, "</svg>", ""])


def short_steps(times: CycleTimes) -> tuple[str, ...]:
    """The longest row of steps that follow one another and are each short beside the cycle, with the step after them.

    Empty where all steps are long enough to be seen.
    """
    known = [entry for entry in times.entries if entry.latest_us is not None]
    end_us = known[-1].latest_us or 0
    rows: list[list[StepEntry]] = [[]]
    for entry, following in pairwise(known):
        longest_us = max(following.earliest_us - entry.earliest_us, (following.latest_us or 0) - (entry.latest_us or 0))
        if longest_us < SHORT * end_us:
            rows[-1].append(entry)
        else:
            rows.append([])
    longest = max(rows, key=len)
    if len(longest) < LEAST_SHORT:
        return ()
    after = known[known.index(longest[-1]) + 1]
    takes_us = (after.latest_us or 0) - (longest[0].latest_us or 0)
    return (*(entry.step for entry in longest), after.step) if takes_us < end_us * WORTH_IT else ()


def _bars(chart: Chart, times: CycleTimes, hazards: Hazards) -> list[_Bar]:
    entries = [entry for entry in times.entries if entry.latest_us is not None]
    bars = [_bar(chart, entry, following, hazards) for entry, following in pairwise(entries)]
    return bars or [_bar(chart, times.entries[0], times.entries[0], hazards)]


def _bar(chart: Chart, entry: StepEntry, following: StepEntry, hazards: Hazards) -> _Bar:
    step = next(step for step in chart.steps if step.name == entry.step)
    words = dict.fromkeys(word for action in step.actions for word in hazards.get(action.variable, ()))
    return _Bar(
        name=entry.step,
        hazard=hazard_text(words) if words else "",
        begin=(entry.earliest_us, entry.latest_us or 0),
        end=(following.earliest_us, following.latest_us or 0),
    )


def _panel(sheet: _Sheet, title: str, bars: list[_Bar], span: tuple[int, int]) -> None:
    top = sheet.y + HEAD
    _text(sheet, 12, sheet.y + 24, title, bold=True)
    bottom = top + ROW * len(bars)
    _grid(sheet, span, top, bottom)
    for number, bar in enumerate(bars):
        _draw_bar(sheet, bar, span, top + ROW * number)
    sheet.y = bottom + 28


def _draw_bar(sheet: _Sheet, bar: _Bar, span: tuple[int, int], y: float) -> None:
    _text(sheet, LEFT - 8, y + 16, f"{bar.name} {bar.hazard}".strip(), anchor="end")
    accent = ACCENT if bar.hazard else INK
    left, right = _across(bar.begin[0], span), _across(bar.end[1], span)
    _rect(sheet, left, right, y, "url(#ranges)", accent)
    if bar.end[0] > bar.begin[1]:
        _rect(sheet, _across(bar.begin[1], span), _across(bar.end[0], span), y, accent, accent)


def _rect(sheet: _Sheet, left: float, right: float, y: float, fill: str, stroke: str) -> None:
    sheet.lines.append(
        f'<rect x="{left:.1f}" y="{y + 4:.1f}" width="{max(right - left, 1):.1f}" height="{ROW - 8}" '
        f'fill="{fill}" stroke="{stroke}"/>'
    )


def _across(time_us: int, span: tuple[int, int]) -> float:
    return LEFT + (time_us - span[0]) / max(1, span[1] - span[0]) * (WIDTH - LEFT - RIGHT)


def _grid(sheet: _Sheet, span: tuple[int, int], top: float, bottom: float) -> None:
    for time_us in _ticks(span):
        x = _across(time_us, span)
        sheet.lines.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{top:.1f}" y2="{bottom:.1f}" stroke="{GRID}" stroke-width="0.5"/>')
        _text(sheet, x, bottom + 14, format_time(time_us), anchor="middle")


def _ticks(span: tuple[int, int]) -> Iterator[int]:
    """Four to nine round times."""
    step = 1
    while (span[1] - span[0]) / step > 90:
        step *= 10
    step *= next(factor for factor in (1, 2, 5, 10) if (span[1] - span[0]) / (step * factor) <= 9)
    yield from range(-(-span[0] // step) * step, span[1] + 1, step)


def _text(sheet: _Sheet, x: float, y: float, text: str, *, anchor: str = "start", bold: bool = False) -> None:
    weight = ' font-weight="bold"' if bold else ""
    sheet.lines.append(f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{weight} fill="{INK}">{escape(text)}</text>')


def _root(height: float, title: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height:.0f}" width="{WIDTH}" height="{height:.0f}" '
        f'font-family="{FONT_FAMILY}" font-size="12" role="img">\n<title>{escape(title)}</title>\n{DARK_STYLE}\n'
        f'<defs><pattern id="ranges" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<line x1="0" y1="0" x2="0" y2="6" stroke="{INK}" stroke-width="1.5"/></pattern></defs>\n'
        f'<rect width="{WIDTH}" height="{height:.0f}" fill="{PAPER}"/>'
    )
