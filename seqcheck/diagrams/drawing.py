"""A drawing as data: boxes, links and marks, before any layout or file format.

The picture: what is drawn is worked out first (`chart_drawing`, `plant_drawing`), how it looks is one writer's business
(`dot_writer`). A mark never rests on colour alone: a hazard also has a sign in its text and a thick frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Literal

HAZARD_SIGN = "(!)"
"""Stands before the words of a hazard. Three ASCII characters, because not every printer's font has a warning triangle."""

Lines = tuple[str, ...]
Page = Literal["upright", "across"]
Rank = Literal["first", "between", "last"]


class NodeKind(Enum):
    """What a node stands for; the writer gives each kind its shape."""

    STEP = "step"
    TRANSITION = "transition"
    ANY_STEP = "any step"
    REFERENCE = "reference"
    CHART = "chart"
    CIRCUIT = "circuit"
    DEVICE = "device"
    OUTPUT = "output"
    SIGNAL = "signal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A box. `sections` are its compartments from top to bottom, each of one or more lines; `key` is its own in a drawing.

    `is_initial`: double frame. `is_hazard`: thick frame. `group`: the frame that it stands in, or None. `rank`: beside
    all others of the same rank, at the beginning, at the end or in between; None lets the links decide.
    """

    key: str
    kind: NodeKind
    sections: tuple[Lines, ...]
    is_initial: bool = False
    is_hazard: bool = False
    group: str | None = None
    rank: Rank | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A link between the nodes with keys `tail` and `head`.

    `is_hazard`: thick. `is_dashed`: no wire, but one body acts on another. `leads_back`: its head stands before its tail.
    `label` stands beside it.
    """

    tail: str
    head: str
    has_arrow: bool = True
    is_hazard: bool = False
    is_dashed: bool = False
    leads_back: bool = False
    label: Lines = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Nodes and edges in the order of the file; `title` and `legend` stand above them, `groups` are frames around nodes."""

    name: str
    title: Lines
    legend: Lines
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    direction: Literal["down", "right"] = "down"
    page: Page = "upright"
    groups: Lines = ()
