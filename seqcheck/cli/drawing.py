"""Writes the drawings of a sequence into a folder and says which."""

from __future__ import annotations

from pathlib import Path

from seqcheck.cli.block import lines
from seqcheck.cli.exit_code import ALL_HOLD
from seqcheck.cli.output_file import ready_folder, write_output
from seqcheck.cli.terminal import show
from seqcheck.diagrams.diagram import Diagram, draw_sequence
from seqcheck.diagrams.svg import render_svg
from seqcheck.reader.read import read_sequence

_CHART = " chart"


def draw_file(file: Path, into: Path) -> int:
    """Draw the sequence in `file` into the folder `into`; the exit code."""
    texts = drawing_texts(file.stem, draw_sequence(read_sequence(file)))
    ready_folder(into)
    for name, text in texts.items():
        write_output(into / name, text)
    show((lines(*(str(into / name) for name in texts)),))
    return ALL_HOLD


def drawing_texts(stem: str, diagrams: tuple[Diagram, ...]) -> dict[str, str]:
    """File names and their texts, an SVG and mostly a DOT file for each drawing; nothing is written before all are ready."""
    short_names = [diagram.name.removesuffix(_CHART).replace(" ", "_") for diagram in diagrams]
    texts = {}
    for diagram, short in zip(diagrams, short_names, strict=True):
        name = short if short_names.count(short) == 1 else diagram.name.replace(" ", "_")
        texts[f"{stem}.{name}.svg"] = diagram.svg or render_svg(diagram.dot)
        if diagram.dot:
            texts[f"{stem}.{name}.dot"] = diagram.dot
    return texts
