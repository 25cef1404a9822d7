"""Draws every bundled sequence into diagrams/ with the renderer that needs no system package.

`python tests/diagrams/rewrite_bundled.py` does it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from seqcheck.diagrams.diagram import Diagram, draw_sequence
from seqcheck.diagrams.svg import render_svg
from seqcheck.reader.read import read_sequence

ROOT = Path(__file__).parents[2]
BUNDLED = sorted((ROOT / "sequences").glob("*.yaml"))


@cache
def drawn(path: Path) -> dict[str, Diagram]:
    """Each drawing of a bundled sequence, by the stem of its files in diagrams/."""
    diagrams = draw_sequence(read_sequence(path))
    return {f"{path.stem}.{diagram.name.removesuffix(' chart').replace(' ', '_')}": diagram for diagram in diagrams}


def rewrite() -> None:
    """Write all drawings, and remove those of sequences that are no more."""
    folder = ROOT / "diagrams"
    for old in folder.glob("*.*"):
        old.unlink()
    for path in BUNDLED:
        for stem, diagram in drawn(path).items():
            svg = diagram.svg or render_svg(diagram.dot, "wasi")
            (folder / f"{stem}.svg").write_text(svg, encoding="utf-8", newline="\n")
            if diagram.dot:
                (folder / f"{stem}.dot").write_text(diagram.dot, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    rewrite()
