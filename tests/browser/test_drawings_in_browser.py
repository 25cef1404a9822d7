"""The bundled drawings as a browser lays them out: no text on another one, none outside its box, legible on A3."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

DRAWINGS = sorted((Path(__file__).parents[2] / "diagrams").glob("*.svg"))
A3_POINTS = (841.9, 1190.6)
"""297 x 420 mm."""
LEAST_POINTS = 5.0
"""Size of the smallest letters on A3; common practice, no source."""

BOXES = """() => {
  const box = (part) => { const b = part.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]; };
  const texts = [...document.querySelectorAll("svg text")].filter((part) => part.textContent.trim());
  return texts.map((part) => {
    const node = part.closest("g.node");
    const frame = node && node.querySelector("polygon");
    const scale = part.getScreenCTM().a;
    const points = 0.75 * scale * parseFloat(getComputedStyle(part).fontSize);
    return { text: part.textContent, box: box(part), frame: frame ? box(frame) : null, points: points };
  });
}"""

SIZE = "() => { const b = document.querySelector('svg').getBoundingClientRect(); return [0.75 * b.width, 0.75 * b.height]; }"


@pytest.fixture(scope="module")
def page(browser: Any) -> Iterator[Any]:
    opened = browser.new_page()
    yield opened
    opened.close()


def _overlap(first: list[float], second: list[float]) -> bool:
    """More than a pixel each way: boxes of lines of one text touch."""
    across = min(first[2], second[2]) - max(first[0], second[0])
    down = min(first[3], second[3]) - max(first[1], second[1])
    return across > 1 and down > 2.5


def _is_within(inner: list[float], outer: list[float]) -> bool:
    return all(outer[side] - 1 <= inner[side] <= outer[side + 2] + 1 for side in (0, 1)) and all(
        inner[side + 2] <= outer[side + 2] + 1 for side in (0, 1)
    )


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_every_text_can_be_read(page: Any, path: Path) -> None:
    """None lies on another or leaves its box, and the smallest is legible where the drawing fits A3."""
    page.goto(path.as_uri())
    texts = page.evaluate(BOXES)
    on_another = [
        (one["text"], other["text"]) for one, other in combinations(texts, 2) if _overlap(one["box"], other["box"])
    ]
    assert on_another == []
    assert [part["text"] for part in texts if part["frame"] and not _is_within(part["box"], part["frame"])] == []
    width, height = sorted(page.evaluate(SIZE))
    fit = min(1.0, A3_POINTS[0] / width, A3_POINTS[1] / height)
    assert min(part["points"] for part in texts) * fit >= LEAST_POINTS


def test_texts_on_one_another_are_noticed(page: Any, tmp_path: Path) -> None:
    path = tmp_path / "two.svg"
    text = '<text x="10" y="{}">knife_home</text>'
    inside = text.format(20) + text.format(26)
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" width="200" height="60">{inside}</svg>', encoding="utf-8")
    page.goto(path.as_uri())
    one, other = page.evaluate(BOXES)
    assert _overlap(one["box"], other["box"])
