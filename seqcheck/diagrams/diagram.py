"""All drawings of a sequence: charts and plant as DOT texts, the timing chart as SVG."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from seqcheck.diagrams.chart_drawing import chart_drawing
from seqcheck.diagrams.cycle_times import cycle_times
from seqcheck.diagrams.dot_writer import dot_text
from seqcheck.diagrams.drawing import Drawing
from seqcheck.diagrams.hazard import Hazards, hazards_of_outputs
from seqcheck.diagrams.interlock_graph import interlock_graph
from seqcheck.diagrams.nominal_cycle import NominalCycle, nominal_cycle
from seqcheck.diagrams.plant_drawing import plant_drawing
from seqcheck.diagrams.range_chart import range_chart_svg, short_steps
from seqcheck.diagrams.step_graph import step_graph
from seqcheck.diagrams.step_times import step_times
from seqcheck.kernel.build import behaviours_of
from seqcheck.language.sequence import Sequence

Kind = Literal["chart", "plant", "steps", "interlocks", "timing"]

LEAST_STEPS = 4
"""A chart with fewer steps has no step graph: its chart says as much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagram:
    """A drawing: `name` is its own in the sequence, `title` for people.

    `dot` is the text that `render_svg` lays out, or "" for one that is drawn already: `svg`.
    """

    name: str
    kind: Kind
    title: str = ""
    dot: str = ""
    svg: str = ""


def draw_sequence(sequence: Sequence) -> tuple[Diagram, ...]:
    """The drawings of every chart in file order, of the plant, of what permits what, then those with times.

    The times are found by exploring all runs without a failure, which takes some seconds.

    Raises SequenceFileError if a device lacks data that its type derives from the machine's numbers.
    """
    return (*plain_diagrams(sequence), *timed_diagrams(sequence, nominal_cycle(sequence)))


def plain_diagrams(sequence: Sequence) -> tuple[Diagram, ...]:
    """The drawings that follow from the file alone."""
    machines = behaviours_of(sequence)
    hazards = hazards_of_outputs(sequence, machines)
    charts = (_dot("chart", chart_drawing(chart, sequence, hazards)) for chart in sequence.charts)
    plant = _dot("plant", plant_drawing(sequence, machines, hazards))
    interlocks = interlock_graph(sequence, machines, hazards)
    return (*charts, plant, *((_dot("interlocks", interlocks),) if interlocks.edges else ()))


def timed_diagrams(sequence: Sequence, cycle: NominalCycle | str) -> tuple[Diagram, ...]:
    """The step graphs, and the timing chart of `cycle` if there is one."""
    hazards = hazards_of_outputs(sequence, behaviours_of(sequence))
    graphs = tuple(
        _dot("steps", step_graph(chart, step_times(sequence, chart), sequence, hazards))
        for chart in sequence.charts
        if len(chart.steps) >= LEAST_STEPS
    )
    return graphs if isinstance(cycle, str) else (*graphs, *_timing(sequence, cycle, hazards))


def _timing(sequence: Sequence, cycle: NominalCycle, hazards: Hazards) -> tuple[Diagram, ...]:
    if len(cycle.path) < LEAST_STEPS:
        return ()
    chart = cycle.chart
    parts = [cycle_times(sequence, chart, cycle.path[1:])]
    if short := short_steps(parts[0]):
        parts.append(cycle_times(sequence, chart, short))
    svg = range_chart_svg(sequence, chart, tuple(parts), hazards)
    return (Diagram(name="timing", kind="timing", title=f"Timing of {chart.name} with ranges", svg=svg),)


def _dot(kind: Kind, drawing: Drawing) -> Diagram:
    return Diagram(name=drawing.name, kind=kind, title=drawing.title[0], dot=dot_text(drawing))
