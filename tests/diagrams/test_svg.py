"""The SVG of both renderers: well formed, without traces of a version, the same every time, hostile text as text."""

from __future__ import annotations

import shutil
from pathlib import Path
from xml.etree import ElementTree

import pytest
from diagrams.drawn_example import HOSTILE, example, hostile

from seqcheck.diagrams.diagram import plain_diagrams
from seqcheck.diagrams.svg import DARK_STYLE, Renderer, render_svg
from seqcheck.errors import UsageError
from seqcheck.reader.read import read_sequence

SVG = "{http://www.w3.org/2000/svg}"
BUNDLED = sorted((Path(__file__).parents[2] / "sequences").glob("*.yaml"))

needs_dot = pytest.mark.skipif(shutil.which("dot") is None, reason="the program 'dot' is not on the PATH")
each_renderer = pytest.mark.parametrize("renderer", [pytest.param("dot", marks=needs_dot), "wasi"])


def _texts(root: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in root.iter(f"{SVG}text")]


@each_renderer
@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_bundled_sequences_render_with_title_and_all_lines(path: Path, renderer: Renderer) -> None:
    sequence = read_sequence(path)
    for diagram in plain_diagrams(sequence):
        root = ElementTree.fromstring(render_svg(diagram.dot, renderer))
        assert root[0].tag == f"{SVG}title"
        assert root[0].text == diagram.name
        assert root.get("role") == "img"
        if diagram.kind == "interlocks":
            assert any(text.startswith("(!) ") for text in _texts(root))
        elif diagram.kind == "chart":
            chart = sequence.chart(diagram.name.removesuffix(" chart"))
            assert {step.name for step in chart.steps} <= set(_texts(root))
        else:
            assert {device.name for device in sequence.devices} <= set(_texts(root))


@each_renderer
def test_same_text_gives_same_bytes_with_another_between(renderer: Renderer) -> None:
    first, second, *_ = plain_diagrams(example())
    once = render_svg(first.dot, renderer)
    render_svg(second.dot, renderer)
    assert render_svg(first.dot, renderer) == once


@each_renderer
def test_no_version_comment_or_document_type(renderer: Renderer) -> None:
    svg = render_svg(plain_diagrams(example())[0].dot, renderer)
    assert svg.startswith("<svg ")
    assert "<!" not in svg
    assert "graphviz" not in svg.lower()
    assert "Verdana" not in svg


@each_renderer
def test_step_names_are_bold_and_actions_are_not(renderer: Renderer) -> None:
    root = ElementTree.fromstring(render_svg(plain_diagrams(example())[0].dot, renderer))
    bold = [element.text for element in root.iter(f"{SVG}text") if element.get("font-weight") == "bold"]
    assert sorted(bold, key=str) == ["Chart cut", "back", "cutting", "ready"]


@each_renderer
def test_hostile_names_are_text(renderer: Renderer) -> None:
    for diagram in plain_diagrams(hostile()):
        root = ElementTree.fromstring(render_svg(diagram.dot, renderer))
        allowed = ("svg", "title", "g", "polygon", "polyline", "path", "text", "style")
        assert {element.tag.removeprefix(SVG) for element in root.iter()} <= set(allowed)
        assert [style.text for style in root.iter(f"{SVG}style")] == [DARK_STYLE.removeprefix("<style>").removesuffix("</style>")]
        if diagram.kind in ("plant", "interlocks"):
            assert f"(!) {HOSTILE}" in _texts(root)


@each_renderer
def test_a_broken_text_is_refused_and_leaves_no_damage(
    renderer: Renderer, capfd: pytest.CaptureFixture[str]
) -> None:
    whole = plain_diagrams(example())[0].dot
    before = render_svg(whole, renderer)
    with pytest.raises(UsageError, match="expected a DOT text"):
        render_svg("digraph {", renderer)
    assert render_svg(whole, renderer) == before
    assert capfd.readouterr() == ("", "")


def test_without_a_program_dot_wasi_renders(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    dot = plain_diagrams(example())[0].dot
    assert render_svg(dot) == render_svg(dot, "wasi")
    with pytest.raises(UsageError, match="expected the program 'dot'"):
        render_svg(dot, "dot")
