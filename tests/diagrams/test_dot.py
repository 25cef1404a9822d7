"""What the DOT texts say: word for word for one chart, and that nothing of a sequence is left out."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagrams.drawn_example import HOSTILE, example, hostile

from seqcheck.diagrams.diagram import plain_diagrams
from seqcheck.diagrams.dot_writer import dot_text
from seqcheck.diagrams.drawing import Drawing, Node, NodeKind
from seqcheck.diagrams.plant_drawing import plant_drawing
from seqcheck.kernel.build import behaviours_of
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence

BUNDLED = sorted((Path(__file__).parents[2] / "sequences").glob("*.yaml"))

BODY_OF_CUT = r"""
  subgraph "cluster step ready" {
  graph [label="" style="solid" penwidth="1" margin="4"];
  "step ready" [shape="record" class="named" label="{ready|prompt:\ Press\ start\l}"];
  }
  "step cutting" [shape="record" color="#9c1c1c" penwidth="2.5" class="named" label="{cutting|N\ \ knife_fire\ \ (!)\ cut\l|within\ 400\ ms,\ else\ knife_late\l}"];
  "step back" [shape="record" class="named" label="{back}"];
  "any step 1" [shape="box" style="dashed" label="any step but\lready\l"];
  "transition 1" [BAR label="1:  NOT hood_closed\l"];
  "transition 2" [BAR label="start_pressed AND knife_home\lAND NOT knife_late\l"];
  "transition 3" [BAR label="2:  knife_through\l"];
  "transition 4" [BAR label="3:  cutting.late\l"];
  "transition 5" [BAR label="2:  knife_home\lAND back.T >= T#100ms\l"];
  "any step 1" -> "transition 1" [arrowhead="none"];
  "transition 1" -> "step ready" [lhead="cluster step ready"];
  "step ready" -> "transition 2" [arrowhead="none" ltail="cluster step ready"];
  "transition 2" -> "step cutting";
  "step cutting" -> "transition 3" [arrowhead="none"];
  "transition 3" -> "step back";
  "step cutting" -> "transition 4" [arrowhead="none"];
  "step ready" -> "transition 4":s [dir="back" ltail="cluster step ready"];
  "step back" -> "transition 5" [arrowhead="none"];
  "step ready" -> "transition 5":s [dir="back" ltail="cluster step ready"];
}
""".replace("BAR", 'shape="underline" penwidth="2.5" margin="0.08,0.03" height="0.2"')  # noqa: E501

PLANT_LINKS = {
    ("chart cut", "output knife_fire"),
    ("output knife_fire", "device knife"),
    ("circuit knife_air", "device knife"),
    ("device hood", "device hood_2"),
    ("device knife", "signal knife_through"),
    ("device knife", "signal knife_home"),
    ("device hood", "signal hood_closed"),
    ("device hood_2", "signal hood_closed_2"),
    ("device start", "signal start_pressed"),
    ("signal start_pressed", "chart cut reads"),
    ("signal knife_home", "chart cut reads"),
    ("signal hood_closed", "chart cut reads"),
    ("signal knife_through", "chart cut reads"),
    ("signal hood_closed", "circuit knife_air reads"),
    ("signal hood_closed_2", "circuit knife_air reads"),
    ("signal start_pressed", "alarms"),
    ("signal knife_home", "alarms"),
}


def _plant(sequence: Sequence) -> Drawing:
    return plant_drawing(sequence, behaviours_of(sequence), {"knife_fire": ("cut",)})


def _dot(sequence: Sequence, name: str) -> str:
    return next(diagram.dot for diagram in plain_diagrams(sequence) if diagram.name == name)


def test_chart_is_written_word_for_word() -> None:
    head, *_ = _dot(example(), "cut chart").split("\n")
    body = "\n" + "\n".join(_dot(example(), "cut chart").split("\n")[4:])
    assert head == 'digraph "cut chart" {'
    assert body == BODY_OF_CUT


def test_names_and_kinds() -> None:
    drawn = [(diagram.name, diagram.kind) for diagram in plain_diagrams(example())]
    assert drawn == [("cut chart", "chart"), ("lamp chart", "chart"), ("plant", "plant"), ("interlocks", "interlocks")]


def test_plant_links_are_exactly_these() -> None:
    assert {(edge.tail, edge.head) for edge in _plant(example()).edges} == PLANT_LINKS


def test_hazard_is_marked_by_sign_frame_and_link() -> None:
    plant = _plant(example())
    assert {node.key for node in plant.nodes if node.is_hazard} == {"device knife", "output knife_fire"}
    assert [node.sections for node in plant.nodes if node.key == "output knife_fire"] == [
        (("knife_fire  (!) cut",),)
    ]
    assert {(edge.tail, edge.head) for edge in plant.edges if edge.is_hazard} == {
        ("chart cut", "output knife_fire"),
        ("output knife_fire", "device knife"),
    }


def test_devices_stand_in_groups() -> None:
    groups = {node.key: node.group for node in _plant(example()).nodes if node.kind is NodeKind.DEVICE}
    assert groups == {
        "device knife": "Driven by outputs",
        "device hood": "People and surroundings",
        "device hood_2": "Follow other devices",
        "device start": "People and surroundings",
    }


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_every_part_of_a_bundled_sequence_is_drawn(path: Path) -> None:
    sequence = read_sequence(path)
    for chart in sequence.charts:
        dot = _dot(sequence, f"{chart.name} chart")
        assert [step.name for step in chart.steps if f'"step {step.name}" [' not in dot] == []
        ways = sum(len(step.transitions) for step in chart.steps)
        ways += sum(len(group.transitions) for group in chart.common)
        assert dot.count('shape="underline"') == ways
        assert dot.count('style="dashed"') == len(chart.common)
    plant = _dot(sequence, "plant")
    wanted = [f"device {device.name}" for device in sequence.devices]
    wanted += [f"circuit {circuit.name}" for circuit in sequence.circuits]
    wanted += [f"signal {wire.signal.name}" for part in behaviours_of(sequence) for wire in part.wires]
    wanted += [f"chart {chart.name}" for chart in sequence.charts]
    assert [key for key in wanted if f'"{key}" [' not in plant] == []


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_every_link_joins_boxes_that_are_there(path: Path) -> None:
    sequence = read_sequence(path)
    plant = _plant(sequence)
    keys = [node.key for node in plant.nodes]
    assert len(keys) == len(set(keys))
    assert {end for edge in plant.edges for end in (edge.tail, edge.head)} <= set(keys)


def test_same_sequence_gives_same_text() -> None:
    assert plain_diagrams(example()) == plain_diagrams(example())
    assert plain_diagrams(hostile()) == plain_diagrams(hostile())


def test_text_in_labels_is_escaped() -> None:
    node = Node(key='a"\\', kind=NodeKind.OUTPUT, sections=((HOSTILE,),))
    drawing = Drawing(name="x", title=(), legend=(), nodes=(node,), edges=())
    line = next(line for line in dot_text(drawing).split("\n") if line.startswith('  "a'))
    assert line.startswith('  "a\\"\\\\" [')
    assert r'label="</title><script>\"x\"</script> &amp; &amp;lt;i&amp;gt; {a|b} \\n \\N \\ <b>\l"];' in line


def test_text_in_compartments_is_escaped() -> None:
    node = Node(key="a", kind=NodeKind.STEP, sections=(("{a|b}",), ("<p> \\l\n",)))
    drawing = Drawing(name="x", title=(), legend=(), nodes=(node,), edges=())
    assert 'label="{\\{a\\|b\\}|\\<p\\>\\ \\\\l\N{REPLACEMENT CHARACTER}\\l}"' in dot_text(drawing)
