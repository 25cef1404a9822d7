"""A drawing in the DOT language, with the look of all our drawings: black on white, one accent for hazards.

Every text is escaped: what a file calls its steps or says to its operator can neither end a string nor become markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from seqcheck.diagrams.drawing import Drawing, Edge, Lines, Node, NodeKind, Page

FONT = "Verdana"
"""Only its widths count: it is wider than the sans-serif font that a reader will show (`svg.py`), so texts fit boxes."""

ACCENT = "#9c1c1c"
"""Dark red that prints as dark grey."""

A3_INCHES: dict[Page, str] = {"upright": "10.9,15.7", "across": "15.7,10.9"}
"""A3 within 10 mm margins; a larger drawing is scaled to it, a smaller one is not."""

_RANKS = {"first": "source", "between": "same", "last": "sink"}

_NAMED = frozenset({NodeKind.STEP, NodeKind.DEVICE, NodeKind.CHART, NodeKind.CIRCUIT})
"""Boxes whose first line is a name; `svg.py` prints it in bold."""

Attributes = Mapping[str, str]

_SHAPES: dict[NodeKind, Attributes] = {
    NodeKind.STEP: {"shape": "record"},
    NodeKind.TRANSITION: {"shape": "underline", "penwidth": "2.5", "margin": "0.08,0.03", "height": "0.2"},
    NodeKind.ANY_STEP: {"shape": "box", "style": "dashed"},
    NodeKind.REFERENCE: {"shape": "plaintext", "margin": "0.02,0.02", "height": "0.18"},
    NodeKind.CHART: {"shape": "box"},
    NodeKind.CIRCUIT: {"shape": "box", "style": "dashed"},
    NodeKind.DEVICE: {"shape": "box"},
    NodeKind.OUTPUT: {"shape": "cds", "margin": "0.12,0.03"},
    NodeKind.SIGNAL: {"shape": "box", "style": "rounded"},
}
"""Records draw compartments; all else is a plain box, a bar under text, or a box with a point."""

_CONTROL = dict.fromkeys(
    (*range(0x20), *range(0x7F, 0xA0), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF), "\N{REPLACEMENT CHARACTER}"
)
"""Code points that XML or UTF-8 forbids or that move a terminal's cursor."""

_IN_LABEL = {"\\": "\\\\", "&": "&amp;", '"': '\\"'}
_IN_RECORD = {sign: f"\\{sign}" for sign in "{}|<>"} | {" ": "\\ "}


def dot_text(drawing: Drawing) -> str:
    """The drawing as a DOT graph, one statement a line, in the drawing's order."""
    lines = [
        f"digraph {_quoted(drawing.name)} {{",
        *_defaults(drawing),
        *(line for group in drawing.groups for line in _group_lines(drawing, group)),
        *(line for node in drawing.nodes if node.group is None for line in _node_lines(node)),
        *(line for rank in _RANKS for line in _rank_lines(drawing, rank)),
        *(_edge_line(edge, drawing) for edge in drawing.edges),
        "}",
    ]
    return "\n".join(lines) + "\n"


def _defaults(drawing: Drawing) -> tuple[str, ...]:
    graph = {
        "rankdir": "TB" if drawing.direction == "down" else "LR",
        "compound": "true",
        "bgcolor": "white",
        "size": A3_INCHES[drawing.page],
        "pad": "0.1",
        "nodesep": "0.2",
        "ranksep": "0.22" if drawing.direction == "down" else "0.9",
        "labelloc": "t",
        "labeljust": "l",
        "fontname": FONT,
        "fontsize": "11",
    }
    # Packing loses the labels of links.
    if drawing.direction == "down" and not any(edge.label for edge in drawing.edges):
        graph |= {
            "pack": "20",
            "packmode": "array_it64",
        }  # columns side by side, in order, each with its own ranks
    label = _plain_label((*drawing.title, *drawing.legend, ""))
    return (
        f"  graph [{_attributes(graph)} label={label}];",
        f'  node [fontname="{FONT}" fontsize="10" penwidth="1" height="0.25" margin="0.1,0.05"];',
        f'  edge [arrowsize="0.7" penwidth="1" fontname="{FONT}" fontsize="9"];',
    )


def _group_lines(drawing: Drawing, group: str) -> list[str]:
    """The frame with its nodes. Its name is a node too, because links would run through a label of the frame."""
    inside = [line for node in drawing.nodes if node.group == group for line in _node_lines(node)]
    head = f"  subgraph {_quoted(f'cluster {group}')} {{"
    frame = f"  graph [{_attributes({'style': 'dotted', 'margin': '8', 'label': ''})}];"
    name = f'  {_quoted(f"group {group}")} [shape="plaintext" class="named" label={_plain_label((group,))}];'
    return [head, frame, name, *inside, "  }"]


def _rank_lines(drawing: Drawing, rank: str) -> tuple[str, ...]:
    members = " ".join(f"{_quoted(node.key)};" for node in drawing.nodes if node.rank == rank)
    return (f"  {{ rank={_RANKS[rank]}; {members} }}",) if members else ()


def _node_lines(node: Node) -> tuple[str, ...]:
    shape = dict(_SHAPES[node.kind])
    if node.is_hazard:
        shape |= {"color": ACCENT, "penwidth": "2.5"}
    if node.kind in _NAMED:
        shape["class"] = "named"
    label = (
        _record_label(node.sections) if shape["shape"] == "record" else _plain_label(_joined(node.sections))
    )
    line = f"  {_quoted(node.key)} [{_attributes(shape)} label={label}];"
    if not node.is_initial:
        return (line,)
    # A record has no second frame of its own, so a cluster is drawn around it.
    frame = '  graph [label="" style="solid" penwidth="1" margin="4"];'
    return (f"  subgraph {_quoted(_frame(node.key))} {{", frame, line, "  }")


def _frame(key: str) -> str:
    return f"cluster {key}"


def _edge_line(edge: Edge, drawing: Drawing) -> str:
    framed = {node.key for node in drawing.nodes if node.is_initial}
    attributes: dict[str, str] = {}
    if not edge.has_arrow:
        attributes["arrowhead"] = "none"
    if edge.is_hazard:
        attributes |= {"color": ACCENT, "penwidth": "2.5"}
    if edge.is_dashed:
        attributes["style"] = "dashed"
    tail, head = edge.tail, edge.head
    if edge.leads_back:
        # Graphviz puts the tail of a link first; so a link back is written from its head and drawn backwards, and has
        # to be told that it leaves its box below.
        tail, head = head, tail
        attributes["dir"] = "back"
    ends = [f"ltail={_quoted(_frame(tail))}"] if tail in framed else []
    ends += [f"lhead={_quoted(_frame(head))}"] if head in framed else []
    if edge.label:
        ends.append(f"label={_plain_label(edge.label)}")
    inside = " ".join([*([_attributes(attributes)] if attributes else []), *ends])
    port = ":s" if edge.leads_back else ""
    return f"  {_quoted(tail)} -> {_quoted(head)}{port}{f' [{inside}]' if inside else ''};"


def _joined(sections: Iterable[Lines]) -> Lines:
    return tuple(line for lines in sections for line in lines)


def _attributes(values: Attributes) -> str:
    return " ".join(f'{name}="{value}"' for name, value in values.items())


def _plain_label(lines: Lines) -> str:
    return '"' + "".join(f"{_escaped(line, _IN_LABEL)}\\l" for line in lines) + '"'


def _record_label(sections: tuple[Lines, ...]) -> str:
    signs = _IN_LABEL | _IN_RECORD
    head, *rest = sections
    title = "\\n".join(_escaped(line, signs) for line in head)
    fields = ["".join(f"{_escaped(line, signs)}\\l" for line in lines) for lines in rest]
    return '"{' + "|".join([title, *fields]) + '}"'


def _quoted(text: str) -> str:
    return '"' + _escaped(text, _IN_LABEL) + '"'


def _escaped(text: str, signs: Mapping[str, str]) -> str:
    return text.translate(_CONTROL).translate({ord(sign): escape for sign, escape in signs.items()})
