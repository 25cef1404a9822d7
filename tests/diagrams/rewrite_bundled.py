"""Draws every bundled sequence into diagrams/ with the renderer that needs no system package.

`python tests/diagrams/rewrite_bundled.py` does it.
"""

from __future__ import annotations

from pathlib import Path

from seqcheck.diagrams.diagram import draw_sequence
from seqcheck.diagrams.svg import render_svg
from seqcheck.reader.read import read_sequence

ROOT = Path(__file__).parents[2]
BUNDLED = sorted((ROOT / "sequences").glob("*.yaml"))


def drawn_dot(path: Path) -> dict[str, str]:
    """The DOT text of each drawing of a bundled sequence, by the stem of its file in diagrams/."""
    diagrams = draw_sequence(read_sequence(path))
    return {f"{path.stem}.{diagram.name.removesuffix(' chart')}": diagram.dot for diagram in diagrams}


def rewrite() -> None:
    """Write all drawings, and remove those of sequences that are no more."""
    folder = ROOT / "diagrams"
    for old in folder.glob("*.*"):
        old.unlink()
    for path in BUNDLED:
        for stem, dot in drawn_dot(path).items():
            (folder / f"{stem}.dot").write_text(dot, encoding="utf-8", newline="\n")
            (folder / f"{stem}.svg").write_text(render_svg(dot, "wasi"), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    rewrite()
