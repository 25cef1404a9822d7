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
    """The DOT text is compared; the layout in the SVG may differ with the renderer's version, but it has its texts."""
    wanted = drawn(path)
    for stem, diagram in wanted.items():
        stored = FOLDER / (f"{stem}.dot" if diagram.dot else f"{stem}.svg")
        text = diagram.dot or diagram.svg
        assert stored.exists() and stored.read_text(encoding="utf-8") == text, f"{stored.name} {AGAIN}"
        root = ElementTree.fromstring((FOLDER / f"{stem}.svg").read_text(encoding="utf-8"))
        texts = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")]
        assert texts and all(part.strip() for part in texts), stem
    assert {stored.stem for stored in FOLDER.glob(f"{path.stem}.*")} == set(wanted), f"drawings left over; {AGAIN}"


def test_no_drawing_is_left_of_a_sequence_that_is_no_more() -> None:
    assert {path.name.split(".")[0] for path in FOLDER.iterdir()} == {path.stem for path in BUNDLED}
