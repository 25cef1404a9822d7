"""The drawings of a sequence as they stand inside the page: ids of their own, and the key of each box for the player."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import unescape
from xml.sax.saxutils import quoteattr

from seqcheck.diagrams.diagram import Diagram
from seqcheck.diagrams.svg import render_svg

_GROUP = re.compile(r'<g id="[^"]*" class="(node|edge|cluster|graph)([^"]*)"([^>]*)>\s*<title>(.*?)</title>', re.DOTALL)
_ROOT_TITLE = re.compile(r'role="img">\s*<title>.*?</title>', re.DOTALL)


@dataclass(frozen=True, slots=True)
class PageDrawing:
    """An SVG element; `chart` is the chart that it shows, or ""."""

    title: str
    chart: str
    svg: str


def page_drawings(diagrams: Iterable[Diagram]) -> tuple[PageDrawing, ...]:
    """Each diagram laid out for the page, by the renderer that gives the same bytes on every machine."""
    return tuple(
        PageDrawing(
            title=diagram.title,
            chart=diagram.name.removesuffix(" chart") if diagram.kind == "chart" else "",
            svg=inline_svg(diagram.svg or render_svg(diagram.dot, "wasi"), diagram.title),
        )
        for diagram in diagrams
    )


def inline_svg(svg: str, title: str) -> str:
    """The SVG element with a label for who cannot see it, and `data-key` in place of ids and titles."""
    keyed = _GROUP.sub(_keyed, _ROOT_TITLE.sub('role="img">', svg, count=1))
    return keyed.replace('role="img">', f"role=\"img\" aria-label={quoteattr(title)}>", 1).strip()


def _keyed(found: re.Match[str]) -> str:
    kind, more, rest, title = found.groups()
    return f'<g class="{kind}{more}"{rest} data-key={quoteattr(unescape(title))}>'
