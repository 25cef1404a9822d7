"""Which links of a chart are drawn whole, and how conditions are broken into lines."""

from __future__ import annotations

from diagrams.drawn_example import example

from seqcheck.diagrams.chart_drawing import chart_drawing
from seqcheck.diagrams.chart_links import chart_links
from seqcheck.diagrams.condition_lines import condition_lines, packed, sentence_lines
from seqcheck.language.sequence import Chart
from seqcheck.reader.read import read_sequence_text

HEAD = """\
sequence: Long
revision: 1
scan: {period: 10 ms, write: 0 ms}
devices: {button: {type: pushbutton, pressed: go}}
charts:
  long:
"""


def _ring(steps: int) -> Chart:
    """A chart whose steps follow each other; the last leads to the first."""
    lines = [f"    s{number}: {{next: {{s{(number + 1) % steps}: go}}}}" for number in range(1, steps)]
    text = HEAD + "\n".join(["    s0: {initial: true, next: {s1: go}}", *lines]) + "\n"
    return read_sequence_text(text, "long.yaml").chart("long")


def test_a_small_chart_keeps_its_way_back() -> None:
    assert chart_links(_ring(10)).is_whole("s9", "s0")


def test_a_large_chart_stands_in_columns_of_equal_height() -> None:
    column = chart_links(_ring(12)).column
    assert [column[f"s{number}"] for number in range(12)] == [0] * 6 + [1] * 6


def test_a_large_chart_interrupts_ways_back_and_between_columns() -> None:
    links = chart_links(_ring(12))
    whole = [number for number in range(12) if links.is_whole(f"s{number}", f"s{(number + 1) % 12}")]
    assert whole == [0, 1, 2, 3, 4, 6, 7, 8, 9, 10]


def test_an_interrupted_link_names_both_ends() -> None:
    chart = _ring(12)
    drawing = chart_drawing(chart, example(), {})
    texts = {node.key: node.sections for node in drawing.nodes if node.key.startswith(("to ", "from "))}
    assert texts == {
        "to 6": (("to s6",),),
        "to 12": (("to s0",),),
        "from s6": (("from", "s5"),),
        "from s0": (("from", "s11"),),
    }
    assert {("transition 6", "to 6"), ("from s6", "step s6")} <= {
        (edge.tail, edge.head) for edge in drawing.edges
    }


def test_condition_breaks_before_operators() -> None:
    way = example().chart("cut").steps[0].transitions[0]
    assert condition_lines(way.condition, "cut", "2:  ") == (
        "2:  start_pressed",
        "AND knife_home",
        "AND NOT knife_late",
    )


def test_lines_are_packed_and_no_part_is_broken() -> None:
    assert packed(("one,", "two,", "three"), 9) == ("one, two,", "three")
    assert packed(("a_very_long_name", "b"), 5) == ("a_very_long_name", "b")


def test_sentence_breaks_between_words_and_in_long_words() -> None:
    assert sentence_lines("press the reset", 9) == ("press the", "reset")
    assert sentence_lines("x" * 12, 5) == ("xxxxx", "xxxxx", "xx")
