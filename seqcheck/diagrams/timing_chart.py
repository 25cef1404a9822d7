"""A timing chart of one run: steps, outputs, inputs and curves over one axis of time, for screen and print.

Black on white throughout: outputs are solid bars, inputs hatched ones, lines of one panel differ in their dashes.
The same run gives the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.curves import Curve, curves_at, sample_times_us
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.segment import S_PER_US
from seqcheck.simulate.sequence_run import SequenceRun

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCHES = 11.0
ROW_INCHES = 0.17
PANEL_INCHES = 1.0
GAP_INCHES = 0.1
EDGE_INCHES = 0.45
SAMPLES = 600
"""Points along the axis of time, besides corners and events."""
DASHES = ("-", "--", ":", "-.")


@dataclass(frozen=True, slots=True)
class Bar:
    """A stretch of time in seconds, with the text in it (a step) or none (something that is on)."""

    start_s: float
    end_s: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class BarRow:
    """One line of bars. `kind`: steps, outputs or inputs."""

    name: str
    kind: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Level:
    """A horizontal line in a panel."""

    name: str
    value: float


@dataclass(frozen=True, slots=True)
class Panel:
    """Curves of one unit that belong together."""

    label: str
    curves: tuple[Curve, ...]
    levels: tuple[Level, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TimingChart:
    """Everything that is drawn. Outputs and inputs that stay as they are throughout are left out and counted in `unchanged`."""

    title: str
    start_s: float
    end_s: float
    rows: tuple[BarRow, ...]
    times_s: tuple[float, ...]
    panels: tuple[Panel, ...]
    unchanged: int


def timing_chart(sequence: Sequence, simulated: SequenceRun, *, from_us: int = 0) -> TimingChart:
    """The chart of a run from `from_us` to its end."""
    network, run = simulated.network, simulated.run
    start_s, end_s = from_us * S_PER_US, max(run.end_us, from_us + 1) * S_PER_US
    rows = [
        BarRow(row.name, row.kind, _within(row.bars, start_s, end_s))
        for row in _rows(network, run.schedule, end_s)
    ]
    shown = tuple(row for row in rows if row.kind == "steps" or _changes(row, start_s, end_s))
    times_s, panels = _panels(sequence, run.motion, start_s, end_s)
    return TimingChart(
        title=sequence.name,
        start_s=start_s,
        end_s=end_s,
        rows=shown,
        times_s=times_s,
        panels=panels,
        unchanged=len(rows) - len(shown),
    )


def drawn_chart(chart: TimingChart, form: str) -> bytes:
    """The chart as `svg` or `png`."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    # The salt makes the identifiers in an SVG file the same every time.
    with rc_context(
        {"svg.hashsalt": "seqcheck", "font.size": 7, "font.family": "DejaVu Sans", "hatch.linewidth": 0.4}
    ):
        figure = Figure(figsize=(WIDTH_INCHES, _height_inches(chart)))
        _draw(figure, chart)
        written = io.BytesIO()
        metadata = {"Date": None, "Creator": "seqcheck"} if form == "svg" else {"Software": "seqcheck"}
        figure.savefig(written, format=form, dpi=150, metadata=metadata)
    return written.getvalue()


# -- rows ----------------------------------------------------------------------------------------------------


def _rows(network: Network, schedule: Schedule, end_s: float) -> Iterator[BarRow]:
    states = [(0.0, schedule.start)]
    states += [(item.time_us * S_PER_US, item.edge.target) for item in schedule.happenings]
    for chart in network.controller.charts:
        numbers = [(time_s, state.memory[chart.number]) for time_s, state in states]
        yield BarRow(chart.name, "steps", _step_bars(numbers, chart.step_names, end_s))
    for bit, name in enumerate(network.output_names):
        yield BarRow(name, "outputs", _on_bars(states, "written", bit, end_s))
    for bit, name in enumerate(network.signal_names):
        yield BarRow(name, "inputs", _on_bars(states, "seen", bit, end_s))


def _step_bars(numbers: list[tuple[float, int]], names: tuple[str, ...], end_s: float) -> tuple[Bar, ...]:
    return tuple(Bar(start_s, until_s, names[value]) for start_s, until_s, value in _stretches(numbers, end_s))


def _on_bars(states: list[tuple[float, State]], mask: str, bit: int, end_s: float) -> tuple[Bar, ...]:
    values = [(time_s, getattr(state, mask) >> bit & 1) for time_s, state in states]
    return tuple(Bar(start_s, until_s) for start_s, until_s, value in _stretches(values, end_s) if value)


def _stretches(values: list[tuple[float, int]], end_s: float) -> Iterator[tuple[float, float, int]]:
    """Start, end and value of each stretch in which the value stays."""
    start_s, current = values[0]
    for time_s, value in values[1:]:
        if value != current:
            yield start_s, time_s, current
            start_s, current = time_s, value
    yield start_s, end_s, current


def _within(bars: tuple[Bar, ...], start_s: float, end_s: float) -> tuple[Bar, ...]:
    return tuple(
        Bar(max(bar.start_s, start_s), min(bar.end_s, end_s), bar.text)
        for bar in bars
        if bar.end_s > start_s and bar.start_s < end_s
    )


def _changes(row: BarRow, start_s: float, end_s: float) -> bool:
    return bool(row.bars) and row.bars != (Bar(start_s, end_s),)


# -- panels --------------------------------------------------------------------------------------------------


def _panels(
    sequence: Sequence, record: MotionRecord | None, start_s: float, end_s: float
) -> tuple[tuple[float, ...], tuple[Panel, ...]]:
    if record is None:
        return (), ()
    step_us = max(1, round((end_s - start_s) / SAMPLES / S_PER_US))
    times_us = sample_times_us(record, step_us, [round(start_s / S_PER_US)])
    times_s = tuple(time * S_PER_US for time in times_us if start_s <= time * S_PER_US <= end_s)
    curves = curves_at(record, times_s)
    ends = (("_speed", "speed"), ("content", "content"), ("_diameter", "diameter"), ("tension", "tension"))
    groups = [(label, [curve for curve in curves if _belongs(curve, end)]) for end, label in ends]
    return times_s, tuple(
        Panel(f"{label} [{found[0].unit}]", tuple(found), _levels(sequence, label)) for label, found in groups if found
    )


def _belongs(curve: Curve, end: str) -> bool:
    if end == "_speed":
        return curve.name.endswith(end) and curve.name != "carriage_speed"
    return curve.name.endswith(end) or (end == "tension" and curve.name.startswith(end))


def _levels(sequence: Sequence, label: str) -> tuple[Level, ...]:
    """Lines to hold the curves against."""
    store, web = sequence.machine.accumulator, sequence.machine.web
    if label == "content" and store is not None:
        capacity_m = store.strands * store.stroke_m
        ratios = [("filled", store.filled_ratio), ("running", store.running_ratio), ("reserve", store.reserve_ratio)]
        ratios += [] if store.emptied_ratio is None else [("emptied", store.emptied_ratio)]
        return tuple(Level(name, ratio * capacity_m) for name, ratio in ratios)
    if label == "tension" and web is not None:
        limits = (("least", web.tension_least_n), ("most", web.tension_most_n))
        return tuple(Level(name, value) for name, value in limits if value is not None)
    return ()


# -- drawing -------------------------------------------------------------------------------------------------


def _bars_inches(chart: TimingChart) -> float:
    return ROW_INCHES * (len(chart.rows) + 1)


def _height_inches(chart: TimingChart) -> float:
    return EDGE_INCHES * 2 + _bars_inches(chart) + (PANEL_INCHES + GAP_INCHES) * len(chart.panels)


def _left_inches(chart: TimingChart) -> float:
    """Room for the longest name: at 6 points a letter takes about 1/18 inch."""
    return max([len(row.name) for row in chart.rows] + [8]) / 18 + 0.3


def _draw(figure: Figure, chart: TimingChart) -> None:
    """Places are computed here: a solver of layouts would not give the same bytes every time."""
    height, left = _height_inches(chart), _left_inches(chart)
    width = WIDTH_INCHES - left - EDGE_INCHES
    top = height - EDGE_INCHES - _bars_inches(chart)
    rows = figure.add_axes((left / WIDTH_INCHES, top / height, width / WIDTH_INCHES, _bars_inches(chart) / height))
    figure.text(0.5, 1 - 0.15 / height, chart.title, fontsize=9, ha="center", va="center")
    _draw_rows(rows, chart)
    last = rows
    for panel in chart.panels:
        top -= PANEL_INCHES + GAP_INCHES
        last.tick_params(labelbottom=False)
        last = figure.add_axes(
            (left / WIDTH_INCHES, top / height, width / WIDTH_INCHES, PANEL_INCHES / height), sharex=rows
        )
        _draw_panel(last, chart, panel)
    last.set_xlabel("time [s]")
    last.set_xlim(chart.start_s, chart.end_s)


def _draw_rows(axes: Axes, chart: TimingChart) -> None:
    styles = {
        "steps": {"facecolor": "white", "edgecolor": "black", "linewidth": 0.5},
        "outputs": {"facecolor": "black", "edgecolor": "black", "linewidth": 0.5},
        "inputs": {"facecolor": "white", "edgecolor": "black", "hatch": "//////", "linewidth": 0.5},
    }
    for number, row in enumerate(chart.rows):
        stretches = [(bar.start_s, bar.end_s - bar.start_s) for bar in row.bars]
        axes.broken_barh(stretches, (number - 0.35, 0.7), **styles[row.kind])  # type: ignore[arg-type]
        for bar in row.bars:
            if bar.text and _fits(chart, bar):
                middle_s = (bar.start_s + bar.end_s) / 2
                axes.text(middle_s, number, bar.text, ha="center", va="center", fontsize=5, clip_on=True)
    axes.set_ylim(len(chart.rows) - 0.4, -0.6)
    axes.set_yticks(range(len(chart.rows)), [row.name for row in chart.rows], fontsize=6)
    axes.grid(axis="x", color="0.8", linewidth=0.4)
    axes.set_axisbelow(True)
    axes.set_title(
        f"steps (framed), outputs (solid), inputs (hatched); {chart.unchanged} that do not change are not shown",
        fontsize=6,
        loc="left",
    )


def _fits(chart: TimingChart, bar: Bar) -> bool:
    """Whether the text has room in its bar: at 5 points a letter takes about 1/24 inch."""
    inches = (bar.end_s - bar.start_s) / (chart.end_s - chart.start_s) * (WIDTH_INCHES - 2.0)
    return inches * 24 >= len(bar.text)


def _draw_panel(axes: Axes, chart: TimingChart, panel: Panel) -> None:
    for number, curve in enumerate(panel.curves):
        dashes = DASHES[number % len(DASHES)]
        axes.plot(chart.times_s, curve.values, dashes, color="black", linewidth=0.9, label=curve.label)
    for level in panel.levels:
        axes.axhline(level.value, color="0.5", linewidth=0.5, linestyle=(0, (1, 2)))
        axes.annotate(
            level.name, (1.0, level.value), xycoords=("axes fraction", "data"), fontsize=5, va="center"
        )
    axes.set_ylabel(panel.label, fontsize=6)
    axes.grid(color="0.85", linewidth=0.4)
    if len(panel.curves) > 1 or panel.curves[0].label not in panel.label:
        axes.legend(fontsize=5, loc="upper right", framealpha=1.0)
