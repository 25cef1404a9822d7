"""Measured times beside declared ranges, as SVG written by hand: the same result gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape

from seqcheck.plc.replayed import Fit, Measured, Replayed
from seqcheck.quantities.time import format_time

WIDTH, LEFT, RIGHT, ROW, HEAD = 1000, 300, 160, 26, 60
INK, RANGE, GOOD, BAD = "black", "#d0d7de", "#1f6f43", "#9c1c1c"


def range_plot_svg(replayed: Replayed, title: str) -> str:
    """A row for each measured range, on a scale of its own: the range as a bar, each time as a tick."""
    rows = [part for part in replayed.measured if part.count]
    height = HEAD + ROW * max(len(rows), 1) + 20
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" font-family="sans-serif" font-size="12">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH}" height="{height}" fill="white"/>',
        f'<text x="12" y="22" font-weight="bold">{escape(title)}</text>',
        '<text x="12" y="42">Bar: range in the file. Ticks: measured times. Each row has its own scale.</text>',
    ]
    for number, part in enumerate(rows):
        lines.extend(_row(part, HEAD + ROW * number))
    return "\n".join([*lines, "</svg>", ""])


def _row(part: Measured, top: int) -> Iterator[str]:
    latest_us = part.within.latest_us or 0
    end_us = max(latest_us, part.longest_us, 1) * 1.1
    scale = (WIDTH - LEFT - RIGHT) / end_us
    colour = BAD if part.fit is Fit.TOO_NARROW else GOOD
    start, width = LEFT + part.within.earliest_us * scale, (latest_us - part.within.earliest_us) * scale
    yield f'<text x="12" y="{top + 16}" fill="{INK}">{escape(part.subject)} ({part.count})</text>'
    yield f'<rect x="{start:.1f}" y="{top + 4}" width="{max(width, 1):.1f}" height="{ROW - 10}" fill="{RANGE}"/>'
    for sample in part.samples:
        x = LEFT + sample * scale
        yield f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{top + 4}" y2="{top + ROW - 6}" stroke="{colour}" stroke-opacity="0.6"/>'
    words = f"{format_time(part.shortest_us)} to {format_time(part.longest_us)}"
    yield f'<text x="{WIDTH - RIGHT + 8}" y="{top + 16}" fill="{colour}">{escape(words)}</text>'
