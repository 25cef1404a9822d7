"""diagrams/ holds the drawings of all bundled sequences as they are now."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from diagrams.rewrite_bundled import BUNDLED, ROOT, drawn

FOLDER = ROOT / "diagrams"
AGAIN = "out of date: run `python tests/diagrams/rewrite_bundled.py`"


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_the_drawings_are_of_the_sequence_as_it_is(path: Path) -> None:
    """The DOT text is compared; the layout in the SVG may differ with the renderer's version."""
    for stem, diagram in drawn(path).items():
        stored = FOLDER / (f"{stem}.dot" if diagram.dot else f"{stem}.svg")
        wanted = diagram.dot or diagram.svg
        assert stored.exists() and stored.read_text(encoding="utf-8") == wanted, f"{stored.name} {AGAIN}"


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_each_drawing_has_a_picture_with_its_texts(path: Path) -> None:
    for stem in drawn(path):
        root = ElementTree.fromstring((FOLDER / f"{stem}.svg").read_text(encoding="utf-8"))
        texts = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")]
        assert texts and all(text.strip() for text in texts), stem


def test_no_drawing_is_left_of_a_sequence_that_is_no_more() -> None:
    wanted = {stem for path in BUNDLED for stem in drawn(path)}
    assert {path.stem for path in FOLDER.iterdir()} == wanted
