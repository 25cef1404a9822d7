"""All drawings of a sequence as DOT texts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from seqcheck.diagrams.chart_drawing import chart_drawing
from seqcheck.diagrams.dot_writer import dot_text
from seqcheck.diagrams.hazard import hazards_of_outputs
from seqcheck.diagrams.plant_drawing import plant_drawing
from seqcheck.kernel.build import behaviours_of
from seqcheck.language.sequence import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagram:
    """A drawing: `name` is `plant` or `<chart> chart`, `dot` the text that `render_svg` lays out."""

    name: str
    kind: Literal["chart", "plant"]
    dot: str


def draw_sequence(sequence: Sequence) -> tuple[Diagram, ...]:
    """The drawings of every chart in file order, then of the plant.

    Raises SequenceFileError if a device lacks data that its type derives from the machine's numbers.
    """
    machines = behaviours_of(sequence)
    hazards = hazards_of_outputs(sequence, machines)
    charts = [chart_drawing(chart, sequence, hazards) for chart in sequence.charts]
    plant = plant_drawing(sequence, machines, hazards)
    return (
        *(Diagram(name=chart.name, kind="chart", dot=dot_text(chart)) for chart in charts),
        Diagram(name=plant.name, kind="plant", dot=dot_text(plant)),
    )
